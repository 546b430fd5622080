"""Inputs: what is captured, with which device, standing where; and the device catalogue."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from core.models import Production
from core.models.base import Retirable, RetirableQuerySet
from core.models.fields import LengthField, LengthUnitField
from rigs.models.parts import Part
from rigs.models.units import Unit


class Device(Retirable):
    """A microphone or DI as the crew knows it; figures from the maker's sheet.

    Once a rig's history mentions a device it keeps its name, maker and principle: another
    microphone is another entry. Figures may still be completed.
    """

    IDENTITY = ("name", "maker", "form", "principle")

    class Form(models.TextChoices):
        MIC = "mic", "microphone"
        DI = "di", "DI box"

    class Principle(models.TextChoices):
        DYNAMIC = "dynamic", "moving coil"
        CONDENSER = "condenser", "condenser"
        RIBBON = "ribbon", "ribbon, passive"
        ACTIVE_RIBBON = "active_ribbon", "ribbon, active"
        BOUNDARY = "boundary", "boundary"
        CONTACT = "contact", "contact pickup"
        DI_PASSIVE = "di_passive", "DI, passive"
        DI_ACTIVE = "di_active", "DI, active"

    class Pattern(models.TextChoices):
        NONE = "", "not applicable"
        OMNI = "omni", "omnidirectional"
        SUBCARDIOID = "subcardioid", "wide cardioid"
        CARDIOID = "cardioid", "cardioid"
        SUPERCARDIOID = "supercardioid", "supercardioid"
        HYPERCARDIOID = "hypercardioid", "hypercardioid"
        FIGURE_8 = "figure8", "figure of eight"
        SHOTGUN = "shotgun", "interference tube"
        SWITCHED = "switched", "switchable"

    production = models.ForeignKey(Production, models.PROTECT, related_name="devices")
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    form = models.CharField("microphone or DI", max_length=4, choices=Form.choices)
    principle = models.CharField(max_length=16, choices=Principle.choices)
    pattern = models.CharField(max_length=16, choices=Pattern.choices, blank=True, default="")
    sensitivity_mv_pa = models.DecimalField(
        "sensitivity, mV/Pa",
        max_digits=8,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    max_spl_db = models.DecimalField(
        "maximum SPL, dB",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(194)],
    )
    self_noise_db = models.DecimalField(
        "self-noise, dB(A)", max_digits=5, decimal_places=1, null=True, blank=True
    )
    impedance_ohm = models.DecimalField(
        "impedance, Ω",
        max_digits=12,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Output of a microphone, input of a DI.",
    )
    phantom = models.BooleanField("needs phantom power", default=False)
    notes = models.TextField(blank=True, max_length=4000)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["form", "name"]
        indexes = [models.Index(fields=["production", "name"], name="device_by_name")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}".strip()


class Input(Part):
    """One thing captured and sent to the desk, with its part of the baseline mix."""

    KIND: ClassVar[str] = "input"
    TRACKED: ClassVar[tuple[str, ...]] = (
        "number",
        "name",
        "unit",
        "aimed_at",
        "device",
        "reference_point",
        "distance_m",
        "distance_unit",
        "angle_deg",
        "height_m",
        "height_unit",
        "offset_m",
        "offset_unit",
        "plan_right_m",
        "plan_right_unit",
        "plan_front_m",
        "plan_front_unit",
        "stand",
        "stage_position",
        "reversed_polarity",
        "phantom",
        "pad_db",
        "gain_db",
        "high_pass_hz",
        "low_pass_hz",
        "pan",
        "notes",
        "position",
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="inputs")
    number = models.PositiveIntegerField(null=True, blank=True, help_text="Channel on the desk.")
    name = models.CharField(max_length=80)
    unit = models.ForeignKey(
        Unit,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="inputs",
        verbose_name="takes its sound from",
    )
    aimed_at = models.CharField(
        max_length=160, blank=True, help_text="Cone edge, bell rim, bridge side …"
    )
    device = models.ForeignKey(
        Device,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="inputs",
        verbose_name="microphone or DI",
    )
    reference_point = models.CharField(
        "measured from", max_length=120, blank=True, help_text="The fixed point the tape starts at."
    )
    distance_m = LengthField("distance")
    distance_unit = LengthUnitField()
    angle_deg = models.DecimalField(
        "angle off axis, °",
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    height_m = LengthField("height", below_zero=True)
    height_unit = LengthUnitField()
    offset_m = LengthField("sideways offset", below_zero=True)
    offset_unit = LengthUnitField()
    # Where it is in a plan of a drum kit: from the snare's centre, as the drummer sits.
    plan_right_m = LengthField("right of the snare’s centre", below_zero=True)
    plan_right_unit = LengthUnitField(default="cm")
    plan_front_m = LengthField("in front of the snare’s centre", below_zero=True)
    plan_front_unit = LengthUnitField(default="cm")
    stand = models.CharField(max_length=80, blank=True)
    stage_position = models.CharField("cable or stage box", max_length=80, blank=True)
    reversed_polarity = models.BooleanField("polarity reversed", default=False)
    phantom = models.BooleanField("phantom power on", default=False)
    pad_db = models.DecimalField(
        "pad, dB",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-60), MaxValueValidator(0)],
        help_text="−20 for a 20 dB pad.",
    )
    gain_db = models.DecimalField(
        "preamp gain, dB",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(90)],
    )
    high_pass_hz = models.DecimalField(
        "high-pass, Hz",
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20000)],
    )
    low_pass_hz = models.DecimalField(
        "low-pass, Hz",
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(20), MaxValueValidator(40000)],
    )
    pan = models.SmallIntegerField(
        default=0,
        validators=[MinValueValidator(-100), MaxValueValidator(100)],
        help_text="−100 hard left, 0 centre, 100 hard right.",
    )
    notes = models.TextField(blank=True, max_length=4000)

    class Meta(Part.Meta):
        ordering = ["position", "number"]
        indexes = [models.Index(fields=["rig", "position"], name="input_in_order")]

    def __str__(self) -> str:
        return f"{self.number} {self.name}" if self.number is not None else self.name

    def tidy(self) -> None:
        if self.high_pass_hz and self.low_pass_hz and self.high_pass_hz >= self.low_pass_hz:
            raise ValidationError(
                {"low_pass_hz": "The low-pass lies below the high-pass: nothing would be left."}
            )
