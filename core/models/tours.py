"""Legs and shows: where and when the crew works, and the air and distance of each room."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from core.languages.dates import day
from core.models.air import WithAir
from core.models.base import Retirable, RetirableQuerySet
from core.models.fields import LengthField, LengthUnitField
from core.models.productions import Production


class Leg(Retirable):
    production = models.ForeignKey(Production, models.PROTECT, related_name="legs")
    name = models.CharField(max_length=120)
    starts_on = models.DateField(gettext_lazy("starts"))
    ends_on = models.DateField(gettext_lazy("ends"))
    notes = models.TextField(blank=True, max_length=4000)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["starts_on", "name"]
        indexes = [models.Index(fields=["production", "starts_on"], name="leg_by_date")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends_on__gte=models.F("starts_on")),
                name="leg_ends_after_start",
                violation_error_message=gettext_lazy("A leg cannot end before it starts."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("core:leg", args=[self.production_id, self.pk])


class Show(WithAir, Retirable):
    leg = models.ForeignKey(Leg, models.PROTECT, related_name="shows")
    held_on = models.DateField(gettext_lazy("date"))
    room = models.CharField(max_length=120)
    town = models.CharField(max_length=120, blank=True)
    mix_distance_m = LengthField(gettext_lazy("stage to mix position"), limit_m=1000)
    mix_distance_unit = LengthUnitField(default="m")
    mains_volts = models.PositiveSmallIntegerField(
        gettext_lazy("mains of the house, V"),
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(80), MaxValueValidator(500)],
        help_text=gettext_lazy(
            "What a single-phase outlet of the house gives, as the house says: 230, 120 …"
        ),
    )
    mains_hz = models.PositiveSmallIntegerField(
        gettext_lazy("mains of the house, Hz"),
        null=True,
        blank=True,
        default=None,
        choices=[(50, "50 Hz"), (60, "60 Hz")],
    )
    notes = models.TextField(blank=True, max_length=4000)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["held_on", "room"]
        indexes = [models.Index(fields=["leg", "held_on"], name="show_by_date")]

    def __str__(self) -> str:
        return f"{day(self.held_on)} · {self.room}"
