"""Figures of a unit that are not settings: what a cabinet's impedance is, how a pickup is wound."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from rigs.facts import FACT_CHOICES, FACTS
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.models.parts import Part
from rigs.models.units import Unit


class Fact(Part):
    """One measured or published figure of a unit, in the SI unit that rigs.facts names."""

    KIND: ClassVar[str] = "fact"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "unit",
            FieldRole.SIGNAL,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
        ),
        PartField("key", FieldRole.SIGNAL, names_part=True),
        PartField("value", FieldRole.SIGNAL, ValueKind.FIGURE, in_summary=True),
        PartField("source", FieldRole.DETAIL),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="facts")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="facts")
    key = models.CharField(gettext_lazy("figure"), max_length=24, choices=FACT_CHOICES)
    # Capacitances are stored in farads: twelve decimal places resolve 1 pF.
    value = models.DecimalField(max_digits=20, decimal_places=12)
    source = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("Measured, the maker’s sheet, read off the label …"),
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="fact_in_order")]

    def __str__(self) -> str:
        return FACTS[self.key].words if self.key in FACTS else self.key

    def tidy(self) -> None:
        # A key of another version of the program is kept as it is, without limits.
        fact = FACTS.get(self.key)
        if fact is not None and not fact.low <= self.value <= fact.high:
            raise ValidationError(
                {
                    "value": _("{label} cannot be {value}.").format(
                        label=fact.words, value=fact.shown(self.value)
                    )
                }
            )
