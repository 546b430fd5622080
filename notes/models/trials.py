"""Trials: alternatives heard on one input before deciding. What was rejected stays on record."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Production, Song
from core.models.base import Identified
from core.models.fields import LengthField, LengthUnitField
from notes.models.listening import Note
from rigs.models import Device, Input, Revision, Rig


class Trial(Identified):
    production = models.ForeignKey(Production, models.PROTECT, related_name="trials")
    rig = models.ForeignKey(Rig, models.PROTECT, related_name="trials")
    input = models.ForeignKey(Input, models.PROTECT, related_name="trials")
    question = models.CharField(
        max_length=200,
        help_text=gettext_lazy("What you want to find out: less boom without losing the body?"),
    )
    song = models.ForeignKey(Song, models.PROTECT, null=True, blank=True, related_name="+")
    because_of = models.ManyToManyField(Note, blank=True, related_name="trials")
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField(default=clock.now, editable=False)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, editable=False)
    # Why; also when everything stays as it was.
    decision = models.TextField(blank=True, max_length=2000)
    revision = models.ForeignKey(Revision, models.PROTECT, null=True, related_name="trials")

    class Meta:
        ordering = ["-opened_at"]
        indexes = [models.Index(fields=["production", "-opened_at"], name="trial_newest_first")]

    def __str__(self) -> str:
        return self.question

    def get_absolute_url(self) -> str:
        return reverse("notes:trial", args=[self.production_id, self.pk])

    @property
    def is_open(self) -> bool:
        return self.decided_at is None


class AlternativeVerdict(models.TextChoices):
    UNHEARD = "", gettext_lazy("not heard yet")
    POSSIBLE = "possible", gettext_lazy("possible")
    CHOSEN = "chosen", gettext_lazy("chosen")
    REJECTED = "rejected", gettext_lazy("rejected")


class Alternative(Identified):
    """One way to pick the input up. Where the placement is empty, it is that of the input now."""

    trial = models.ForeignKey(Trial, models.PROTECT, related_name="alternatives")
    position = models.PositiveIntegerField(default=0)
    device = models.ForeignKey(Device, models.PROTECT, related_name="+")
    aimed_at = models.CharField(max_length=160, blank=True)
    reference_point = models.CharField(gettext_lazy("measured from"), max_length=120, blank=True)
    distance_m = LengthField(gettext_lazy("distance"))
    distance_unit = LengthUnitField()
    angle_deg = models.DecimalField(
        gettext_lazy("angle off axis, °"),
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    verdict = models.CharField(
        max_length=8,
        choices=AlternativeVerdict.choices,
        blank=True,
        default=AlternativeVerdict.UNHEARD,
    )
    words = models.TextField(gettext_lazy("what was heard"), blank=True, max_length=2000)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return str(self.device)
