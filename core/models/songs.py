"""The set: songs in order, and the sections a note can point at."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from core.durations import LONGEST_S
from core.models.base import Retirable, RetirableQuerySet
from core.models.productions import Production


class Song(Retirable):
    production = models.ForeignKey(Production, models.PROTECT, related_name="songs")
    title = models.CharField(max_length=160)
    position = models.PositiveIntegerField(default=0, editable=False)
    tempo_bpm = models.DecimalField(
        gettext_lazy("tempo, beats per minute"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(20), MaxValueValidator(400)],
    )
    reference = models.CharField(
        gettext_lazy("reference recording"),
        max_length=200,
        blank=True,
        help_text=gettext_lazy(
            "Release and time range that everybody means by “like on the record”."
        ),
    )
    length_s = models.PositiveIntegerField(
        gettext_lazy("length"), null=True, blank=True, validators=[MaxValueValidator(LONGEST_S)]
    )
    gap_s = models.PositiveIntegerField(
        gettext_lazy("gap after it"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    notes = models.TextField(blank=True, max_length=4000)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "title"]
        indexes = [models.Index(fields=["production", "position"], name="song_in_order")]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("core:song", args=[self.production_id, self.pk])


class Section(Retirable):
    song = models.ForeignKey(Song, models.PROTECT, related_name="sections")
    name = models.CharField(max_length=80, help_text=gettext_lazy("Verse, chorus, bridge, solo …"))
    position = models.PositiveIntegerField(default=0, editable=False)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name
