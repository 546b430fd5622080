"""Listening: sessions, notes of what was heard, and what each note is about."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.dates import day
from core.models import Player, Production, Section, Show, Song
from core.models.base import Identified, OfflineTimes
from rigs.models import Input, Revision, Rig, Unit


class ListeningSession(Identified):
    """A rehearsal, a playback to the players, a soundcheck: an occasion to listen."""

    production = models.ForeignKey(Production, models.PROTECT, related_name="sessions")
    name = models.CharField(max_length=120)
    held_on = models.DateField(gettext_lazy("date"))
    show = models.ForeignKey(
        Show,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="sessions",
        help_text=gettext_lazy("If it was at a show."),
    )
    place = models.CharField(max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=4000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-held_on", "name"]
        indexes = [models.Index(fields=["production", "-held_on"], name="session_by_date")]

    def __str__(self) -> str:
        return f"{self.name}, {day(self.held_on)}"


class Note(OfflineTimes, Identified):
    """What was heard, on which inputs or units, and what is to come of it."""

    class Verdict(models.TextChoices):
        KEEP = "keep", gettext_lazy("keep")
        ADJUST = "adjust", gettext_lazy("adjust")
        REJECT = "reject", gettext_lazy("reject")

    class Outcome(models.TextChoices):
        """How a change that an earlier note asked for turned out."""

        HELPED = "helped", gettext_lazy("it helped")
        NO_DIFFERENCE = "same", gettext_lazy("no difference")
        WORSE = "worse", gettext_lazy("it got worse")

    production = models.ForeignKey(Production, models.PROTECT, related_name="listening_notes")
    session = models.ForeignKey(
        ListeningSession, models.PROTECT, null=True, blank=True, related_name="listening_notes"
    )
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="listening_notes")
    # The change up to which the rig was as heard.
    heard_at = models.PositiveIntegerField(default=0, editable=False)
    inputs = models.ManyToManyField(Input, blank=True, related_name="listening_notes")
    units = models.ManyToManyField(Unit, blank=True, related_name="listening_notes")
    song = models.ForeignKey(Song, models.PROTECT, null=True, blank=True, related_name="+")
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    take = models.CharField(
        gettext_lazy("take and time"),
        max_length=120,
        blank=True,
        help_text=gettext_lazy("Take 4, 1:12 to 1:40."),
    )
    # The words as they were said, and who said them: a musician, or anybody by name.
    words = models.TextField(gettext_lazy("what was said"), blank=True, max_length=4000)
    said_by_player = models.ForeignKey(
        Player, models.PROTECT, null=True, blank=True, related_name="+"
    )
    said_by_name = models.CharField(max_length=120, blank=True)
    reading = models.TextField(
        gettext_lazy("what it means"),
        blank=True,
        max_length=4000,
        help_text=gettext_lazy(
            "The engineer’s reading of it. The words above stay as they were said."
        ),
    )
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    # A follow-up: the change it listens to, and how that turned out.
    follows = models.ForeignKey(
        Revision, models.PROTECT, null=True, blank=True, related_name="follow_ups"
    )
    outcome = models.CharField(max_length=8, choices=Outcome.choices, blank=True)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    written_at = models.DateTimeField(default=clock.now, editable=False)
    # Put to rest without a change, in somebody's words.
    settled_words = models.TextField(blank=True, max_length=2000)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True, editable=False)
    settled_arrived_at = models.DateTimeField(null=True, editable=False)  # if it waited
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-written_at"]
        indexes = [
            models.Index(fields=["production", "-written_at"], name="note_newest_first"),
            models.Index(fields=["rig", "-written_at"], name="note_of_rig"),
            # Those that may wait for somebody (notes.states.MAY_WAIT), few among many years of
            # notes: what is open is counted and listed on most pages.
            *(
                models.Index(
                    fields=[whose, "-written_at"],
                    condition=~models.Q(verdict="keep") & models.Q(settled_at=None),
                    name=f"note_waiting_of_{whose}",
                )
                for whose in ("production", "rig")
            ),
        ]

    def __str__(self) -> str:
        text = self.words or self.reading or without_words(self.verdict)
        return text if len(text) <= 80 else f"{text[:79]}…"

    def get_absolute_url(self) -> str:
        return reverse("notes:note", args=[self.production_id, self.pk])


def without_words(verdict: str) -> str:
    """What a note says that has no words: the inputs or units it is about stand beside it."""
    return _("{label}, without words").format(label=Note.Verdict(verdict).label)


class ReasonLink(models.Model):
    """A revision was made because of a note."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="because_of")
    note = models.ForeignKey(Note, models.PROTECT, related_name="led_to")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["revision", "note"], name="reason_link_once")
        ]

    def __str__(self) -> str:
        return _("{revision} because of “{note}”").format(revision=self.revision, note=self.note)
