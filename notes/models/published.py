"""Published handovers: what a crew was told, word for word, and who was reminded to read it."""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _

from core import clock
from core.models import Production
from core.models.base import Identified
from core.personal.documents import opened_document
from notes.models.handover import Handover


class PublishedHandover(Identified):
    """A handover as it was given to a crew. Written once; the database refuses to change it.

    `content` is canonical JSON (RFC 8785) and needs no other record to be read. It names the digest
    of the one published before it in the production; `digest` is SHA-256 over it. `outline` repeats
    what lists need of it: each section's player, title and digest.
    """

    APPEND_ONLY: ClassVar[bool] = True

    production = models.ForeignKey(
        Production, models.PROTECT, db_index=False, related_name="published_handovers"
    )
    handover = models.ForeignKey(Handover, models.PROTECT, related_name="published")
    number = models.PositiveIntegerField()
    # One to one: the published handovers of a production are a chain without branches.
    previous = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="next", editable=False
    )
    outline = models.TextField()
    # As text and not as JSON: a database may store JSON in another spelling, and the digest is over
    # these characters.
    content = models.TextField()
    digest = models.CharField(max_length=64)
    published_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    published_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["production", "number"], name="handover_number_once")
        ]

    def __str__(self) -> str:
        return _("Handover {number}").format(number=self.number)

    def get_absolute_url(self) -> str:
        return reverse("notes:published", args=[self.production_id, self.pk])

    @property
    def sections(self) -> list[dict[str, Any]]:
        """Each section's key, player (an id, or None for the general part), title and digest."""
        return list(opened_document(self.outline))


class Reminder(Identified):
    """Somebody was reminded by e-mail of what they still have to read or answer."""

    handover = models.ForeignKey(Handover, models.PROTECT, related_name="reminders")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Nobody: the daily command did it.
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    sent_at = models.DateTimeField(default=clock.now)
    sections = models.PositiveIntegerField()  # that were unread
    questions = models.PositiveIntegerField()  # that waited for this person's answer

    class Meta:
        ordering = ["-sent_at"]
        indexes = [models.Index(fields=["handover", "-sent_at"], name="reminder_newest")]

    def __str__(self) -> str:
        return _("{user} reminded of {handover}").format(user=self.user, handover=self.handover)
