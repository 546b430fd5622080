"""Links for people without an account: one thing of a production to read, until a day.

Only the SHA-256 of the secret is kept, so that a copy of the database opens nothing.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from core import clock
from core.models.base import Change, Identified
from core.models.productions import Production
from core.personal.fields import PersonalCharField

_PLACE = re.compile(r"\{(whom|title|name)\}")


class GuestLink(Identified):
    """What one guest may read. Written by `core.guests.links` alone."""

    production = models.ForeignKey(Production, models.CASCADE, related_name="guest_links")
    digest = models.CharField(max_length=64, unique=True, editable=False)
    # Which sort of thing, in the words of the place SHARED, and which one.
    kind = models.CharField(max_length=24)
    subject = models.UUIDField()
    # Keys of the sections that are shown; empty for the whole.
    parts = models.JSONField(default=list, blank=True)
    for_whom = models.CharField(gettext_lazy("for whom"), max_length=120)
    # Made by the password hasher; empty where no word is asked for.
    code = models.CharField(max_length=200, blank=True, default="", editable=False)
    may_answer = models.BooleanField(default=False)
    # In which their pages come; empty for that of their browser.
    language = models.CharField(
        "language", max_length=8, choices=settings.LANGUAGES, default="", blank=True
    )
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=clock.now, editable=False)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-made_at", "pk"]
        verbose_name = "link for a guest"
        verbose_name_plural = "links for guests"
        indexes = [models.Index(fields=["production", "-made_at"], name="guest_link_by_age")]

    def __str__(self) -> str:
        return f"Link for {self.for_whom}"

    @property
    def last_day(self) -> date:
        """The last day on which it opens something, where the service is."""
        return timezone.localdate(self.expires_at - timedelta(microseconds=1))

    @property
    def is_open(self) -> bool:
        return self.withdrawn_at is None and self.expires_at > clock.now()


class GuestOpening(Identified):
    """How often a link was opened on one day. No more is kept of who opened it, nor of when."""

    link = models.ForeignKey(GuestLink, models.CASCADE, related_name="openings")
    day = models.DateField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-day"]
        verbose_name = "day a guest opened a link"
        verbose_name_plural = "days guests opened links"
        constraints = [models.UniqueConstraint(fields=["link", "day"], name="one_count_a_day")]

    def __str__(self) -> str:
        return f"{self.link}, {self.day:%Y-%m-%d}: {self.count}"


class GuestChange(Change):
    """Who shared what with whom, and closed it, in words; never changed.

    Where a person can be named, `words` have a place for it: {whom}, {title}, {name}. What stands
    there is kept apart, so that somebody can be forgotten.
    """

    link = models.ForeignKey(GuestLink, models.PROTECT, related_name="changes")
    whom = PersonalCharField(max_length=120, default="", editable=False, kind="name")
    title = PersonalCharField(max_length=400, default="", editable=False, kind="words")

    class Meta:
        ordering = ["-at", "pk"]
        verbose_name = "change of a link for a guest"
        verbose_name_plural = "changes of links for guests"

    def __str__(self) -> str:
        return f"{self.link}, {self.by_name}"

    @property
    def told(self) -> list[str]:
        """`words` in the language of the reader, with who and what in their places."""
        return [_PLACE.sub(self._in_place, each) for each in super().told]

    def _in_place(self, place: re.Match[str]) -> str:
        if place[1] == "name":
            return str(self.link.made_by.name)
        return str(self.whom if place[1] == "whom" else self.title)
