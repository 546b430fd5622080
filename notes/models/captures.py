"""Measurements of two clips of one source, kept as evidence for the rig."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from core import clock
from core.languages.words import all_of
from core.models import Production
from core.models.base import Identified
from notes.models.clips import Clip
from rigs.models import Rig


class CapturePair(Identified):
    """Two clips that were recorded together, and what `notes.listening.delay` found in them.

    `delay_s` is positive when the second is later. `polarity` is that of the clips as recorded,
    `source_polarity` what it was ahead of the desk's switches. `through_desk`: recorded behind
    them, and behind the desk's delays.
    """

    production = models.ForeignKey(Production, models.PROTECT, related_name="capture_pairs")
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="capture_pairs")
    first = models.ForeignKey(Clip, models.PROTECT, related_name="+")
    second = models.ForeignKey(Clip, models.PROTECT, related_name="+")
    through_desk = models.BooleanField(default=False)
    method = models.CharField(max_length=60, editable=False)
    delay_s = models.FloatField(editable=False)
    polarity = models.SmallIntegerField(editable=False)
    source_polarity = models.SmallIntegerField(editable=False)
    confidence = models.FloatField(editable=False)
    alike = models.FloatField(editable=False)
    kept_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    kept_at = models.DateTimeField(default=clock.now, editable=False)
    # Kept and not deleted: it was evidence for decisions, and people can see that it is not now.
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["-kept_at"]
        indexes = [models.Index(fields=["rig", "-kept_at"], name="captures_of_rig")]

    def __str__(self) -> str:
        return all_of([self.first.input, self.second.input])
