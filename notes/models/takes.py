"""Recordings of whole rehearsals, and the index of where each take is in them."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.languages.words import each_of
from core.models import Production, Song
from core.models.base import Identified
from notes.models.clips import StoredSound
from notes.models.listening import ListeningSession

USER = settings.AUTH_USER_MODEL


class Recording(Identified):
    """One long recording of a session: one file, or several that ran together.

    `version` counts changes of the index, and is what everybody who changes it locks.
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="recordings")
    session = models.ForeignKey(ListeningSession, models.PROTECT, related_name="recordings")
    name = models.CharField(max_length=120)
    began_at = models.DateTimeField(
        gettext_lazy("began"),
        null=True,
        blank=True,
        help_text=gettext_lazy("Notes with a time then tell which song was played."),
    )
    seconds = models.DecimalField(max_digits=10, decimal_places=4, editable=False)
    method = models.CharField(max_length=40, blank=True, default="", editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    brought_by = models.ForeignKey(USER, models.PROTECT, related_name="+", editable=False)
    brought_at = models.DateTimeField(default=clock.now, editable=False)

    class Meta:
        ordering = ["-brought_at"]
        indexes = [models.Index(fields=["production", "-brought_at"], name="recording_newest")]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("notes:recording", args=[self.production_id, self.pk])


class RecordedFile(models.Model):
    """A file of a recording, with the levels that takes are found from (notes.takes.levels)."""

    recording = models.ForeignKey(Recording, models.PROTECT, related_name="files")
    sound = models.ForeignKey(StoredSound, models.PROTECT, related_name="recorded_in")
    position = models.PositiveIntegerField(default=1, editable=False)
    levels = models.BinaryField(editable=False)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = gettext_lazy("file of a recording")
        verbose_name_plural = gettext_lazy("files of recordings")
        constraints = [
            models.UniqueConstraint(fields=["recording", "sound"], name="file_in_recording_once")
        ]

    def __str__(self) -> str:
        return str(self.sound)


class Take(Identified):
    """From where to where in a recording something is played, s. Takes never overlap.

    Written by `notes.takes.services` alone. `by` is empty until a person made or corrected it.
    """

    class SongFrom(models.TextChoices):
        NOTE = "note", gettext_lazy("from what was written then")
        ORDER = "order", gettext_lazy("by the order of the set")
        PERSON = "person", gettext_lazy("said")

    recording = models.ForeignKey(Recording, models.PROTECT, related_name="takes")
    starts_s = models.DecimalField(
        gettext_lazy("from"), max_digits=10, decimal_places=4, validators=[MinValueValidator(0)]
    )
    ends_s = models.DecimalField(gettext_lazy("to"), max_digits=10, decimal_places=4)
    song = models.ForeignKey(
        Song, models.PROTECT, null=True, blank=True, default=None, related_name="takes"
    )
    song_from = models.CharField(
        max_length=6, choices=SongFrom.choices, blank=True, default="", editable=False
    )
    name = models.CharField(max_length=120, blank=True, default="")
    version = models.PositiveIntegerField(default=1, editable=False)
    by = models.ForeignKey(
        USER, models.PROTECT, null=True, default=None, related_name="+", editable=False
    )

    class Meta:
        ordering = ["starts_s"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(starts_s__gte=0, ends_s__gt=models.F("starts_s")),
                name="take_ends_after_it_begins",
            )
        ]
        indexes = [models.Index(fields=["recording", "starts_s"], name="take_in_order")]

    # Not a column: which take of its song in this recording it is, from 1 (notes.takes.index).
    number = 0

    def __str__(self) -> str:
        """“Sedge Hour, take 2, slow”."""
        song = self.song.title if self.song is not None else ""
        parts = [
            song,
            _("take {number}").format(number=self.number) if self.number else "",
            self.name,
        ]
        return each_of(parts) or "take"

    @property
    def seconds(self) -> Decimal:
        return self.ends_s - self.starts_s

    def get_absolute_url(self) -> str:
        return reverse("notes:take", args=[self.recording.production_id, self.pk])
