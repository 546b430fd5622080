"""The air of a room, as the crew's meter shows it: the same columns wherever there is a room."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy


class WithAir(models.Model):
    """Columns that are empty until measured. Pressure is that at the place, not at sea level."""

    temperature_c = models.DecimalField(
        gettext_lazy("temperature, °C"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[
            MinValueValidator(-30, gettext_lazy("The air of a room has at least −30 °C.")),
            MaxValueValidator(60, gettext_lazy("The air of a room has at most 60 °C.")),
        ],
    )
    humidity_pct = models.DecimalField(
        gettext_lazy("relative humidity, %"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    pressure_kpa = models.DecimalField(
        gettext_lazy("air pressure, kPa"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(50), MaxValueValidator(110)],
        help_text=gettext_lazy(
            "At the place itself. A weather report gives it brought to sea level."
        ),
    )

    class Meta:
        abstract = True
