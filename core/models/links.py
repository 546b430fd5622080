"""One-time links: an invitation, or a player's signature, opened by whoever holds the link.

Only the SHA-256 of the token is kept, so that a copy of the database opens nothing.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Identified
from core.models.productions import Production


class OneTimeLink(Identified):
    class Purpose(models.TextChoices):
        INVITATION = "invitation", gettext_lazy("invitation")
        SIGNATURE = "signature", gettext_lazy("signature")
        MIX_SIGNATURE = "mix_signature", gettext_lazy("signature under a monitor mix")
        BLIND = "blind", gettext_lazy("blind trial")

    production = models.ForeignKey(Production, models.CASCADE, related_name="links")
    purpose = models.CharField(max_length=16, choices=Purpose.choices)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    # What the link is for (role and e-mail, or rig, revision and player), as plain JSON.
    details = models.JSONField(default=dict)
    # In which its page is read; empty: that of the browser.
    language = models.CharField(
        gettext_lazy("language"), max_length=8, choices=settings.LANGUAGES, default="", blank=True
    )
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=clock.now, editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} of {self.made_at.day} {self.made_at:%b %Y}"

    @property
    def is_open(self) -> bool:
        untouched = self.used_at is None and self.withdrawn_at is None
        return untouched and self.expires_at > clock.now()
