"""Inputs (what is captured, with which device, placed where) and the catalogue of devices."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.countries import country_in_words
from core.languages.marked import gettext_noop
from core.models import Production
from core.models.base import Retirable, RetirableQuerySet
from core.models.fields import LengthField, LengthUnitField
from core.money import in_words
from core.units import format_weight
from rigs.fields import (
    DEVICE,
    IN_PLAN,
    MIX,
    NOTES,
    POSITION,
    TO_THE_FRONT,
    TO_THE_RIGHT,
    WHERE,
    FieldRole,
    ListColumn,
    PartField,
    Phrase,
    ValueKind,
)
from rigs.models.customs import customs_columns, tidy_customs
from rigs.models.parts import Part
from rigs.models.units import Unit
from rigs.picked_up import Heard


class Device(Retirable):
    """A microphone or DI as the crew knows it; figures from the maker's sheet.

    Once a rig's history mentions a device it keeps its name, maker and principle: another
    microphone is another entry. Figures may still be completed.
    """

    IDENTITY = ("name", "maker", "form", "principle")

    class Form(models.TextChoices):
        MIC = "mic", gettext_lazy("microphone")
        DI = "di", gettext_lazy("DI box")

    class Principle(models.TextChoices):
        DYNAMIC = "dynamic", gettext_lazy("moving coil")
        CONDENSER = "condenser", gettext_lazy("condenser")
        RIBBON = "ribbon", gettext_lazy("ribbon, passive")
        ACTIVE_RIBBON = "active_ribbon", gettext_lazy("ribbon, active")
        BOUNDARY = "boundary", gettext_lazy("boundary")
        CONTACT = "contact", gettext_lazy("contact pickup")
        DI_PASSIVE = "di_passive", gettext_lazy("DI, passive")
        DI_ACTIVE = "di_active", gettext_lazy("DI, active")

    class Pattern(models.TextChoices):
        NONE = "", gettext_lazy("not applicable")
        OMNI = "omni", gettext_lazy("omnidirectional")
        SUBCARDIOID = "subcardioid", gettext_lazy("wide cardioid")
        CARDIOID = "cardioid", gettext_lazy("cardioid")
        SUPERCARDIOID = "supercardioid", gettext_lazy("supercardioid")
        HYPERCARDIOID = "hypercardioid", gettext_lazy("hypercardioid")
        FIGURE_8 = "figure8", gettext_lazy("figure of eight")
        SHOTGUN = "shotgun", gettext_lazy("shotgun")
        SWITCHED = "switched", gettext_lazy("switchable")
        # On a surface, which mirrors the sound: only what is in front of it is picked up.
        HALF_OMNI = "half_omni", gettext_lazy("half space, all round")
        HALF_CARDIOID = "half_cardioid", gettext_lazy("half space, to one side")

    HALF_SPACE: ClassVar[tuple[str, ...]] = (Pattern.HALF_OMNI, Pattern.HALF_CARDIOID)

    production = models.ForeignKey(Production, models.PROTECT, related_name="devices")
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    form = models.CharField(gettext_lazy("microphone or DI"), max_length=4, choices=Form.choices)
    principle = models.CharField(max_length=16, choices=Principle.choices)
    pattern = models.CharField(max_length=16, choices=Pattern.choices, blank=True, default="")
    sensitivity_mv_pa = models.DecimalField(
        gettext_lazy("sensitivity, mV/Pa"),
        max_digits=8,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    max_spl_db = models.DecimalField(
        gettext_lazy("maximum SPL, dB"),
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        # A sound pressure of one atmosphere is 194 dB re 20 µPa; more on a sheet is a misprint.
        validators=[MinValueValidator(0), MaxValueValidator(194)],
    )
    self_noise_db = models.DecimalField(
        gettext_lazy("self-noise, dB(A)"), max_digits=5, decimal_places=1, null=True, blank=True
    )
    impedance_ohm = models.DecimalField(
        gettext_lazy("impedance, Ω"),
        max_digits=12,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text=gettext_lazy("Output of a microphone, input of a DI."),
    )
    phantom = models.BooleanField(gettext_lazy("needs phantom power"), default=False)
    owned = models.PositiveIntegerField(
        gettext_lazy("number owned"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(999)],
        help_text=gettext_lazy(
            "How many of them the production has; 0 where they are always hired."
        ),
    )
    serials = models.TextField(
        gettext_lazy("serial numbers or labels"),
        blank=True,
        default="",
        max_length=2000,
        help_text=gettext_lazy("One a line."),
    )
    packed_in = models.CharField(
        gettext_lazy("case it travels in"),
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy("As written on the case: Case 4."),
    )
    weight_kg = models.DecimalField(
        gettext_lazy("weight of one, kg"),
        max_digits=7,
        decimal_places=3,
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    country_of_origin, worth, currency = customs_columns()
    notes = models.TextField(blank=True, max_length=4000)

    objects = RetirableQuerySet.as_manager()

    class Meta:
        ordering = ["form", "name"]
        indexes = [models.Index(fields=["production", "name"], name="device_by_name")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}".strip()

    def clean(self) -> None:
        super().clean()
        if self.pattern in self.HALF_SPACE and self.principle != self.Principle.BOUNDARY:
            raise ValidationError(
                {"pattern": _("Only a boundary microphone has a half-space pattern.")}
            )
        serials = self.serial_numbers
        if twice := sorted({each for each in serials if serials.count(each) > 1}):
            raise ValidationError(
                {
                    "serials": _("Stands there more than once: {names}.").format(
                        names=_(", ").join(twice)
                    )
                }
            )
        # Fewer serial numbers than are owned is fine: not everything has a label.
        if self.owned is not None and len(serials) > self.owned:
            message = ngettext(
                "{n} serial number, but the number owned is {owned}.",
                "{n} serial numbers, but the number owned is {owned}.",
                len(serials),
            ).format(n=len(serials), owned=self.owned)
            raise ValidationError({"serials": message})
        self.serials = "\n".join(serials)
        tidy_customs(self)

    @property
    def origin(self) -> str:
        """“SE, Sweden”."""
        return country_in_words(self.country_of_origin)

    @property
    def worth_in_words(self) -> str:
        return "" if self.worth is None else in_words(self.worth, self.currency)

    @property
    def weight_in_words(self) -> str:
        return "" if self.weight_kg is None else format_weight(self.weight_kg)

    @property
    def serial_numbers(self) -> list[str]:
        """The serial numbers or labels: one for each line that is not empty."""
        return [line.strip() for line in self.serials.splitlines() if line.strip()]


class Input(Part):
    """One thing captured and sent to the desk, with its part of the baseline mix."""

    class PadAt(models.TextChoices):
        UNSTATED = "", gettext_lazy("not stated")
        DEVICE = "device", gettext_lazy("of the microphone or DI")
        PREAMP = "preamp", gettext_lazy("of the preamp")

    class Carries(models.TextChoices):
        SOUND = "", gettext_lazy("what the audience hears")
        TRACKS = "tracks", gettext_lazy("tracks of the playback")
        CLICK = "click", gettext_lazy("click")
        SPOKEN = "spoken", gettext_lazy("spoken cues")
        TIMECODE = "timecode", gettext_lazy("timecode")

    KIND: ClassVar[str] = "input"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "number",
            kind=ValueKind.WHOLE,
            names_part=True,
            searched=True,
            at_shows=True,
            column=ListColumn(
                gettext_noop("Channel"),
                (
                    *("ch", "chan", "no", "nr", "chno", "channelno", "lineno", "#"),
                    *("input", "inputno", "in", "kanal", "voie"),
                ),
                10,
                noun=gettext_noop("a channel number"),
                shared=gettext_noop("Ch"),
            ),
        ),
        PartField(
            "name",
            names_part=True,
            searched=True,
            column=ListColumn(
                gettext_noop("Name"),
                (
                    *("source", "description", "inputname", "chname", "channelname", "what"),
                    *("label", "was", "quelle"),
                ),
                20,
            ),
        ),
        PartField("unit", FieldRole.PLACEMENT, ValueKind.POINTER, moves_arrival=True, group=WHERE),
        PartField(
            "aimed_at",
            FieldRole.PLACEMENT,
            group=WHERE,
            phrase=Phrase(),
            searched=True,
            column=ListColumn(
                gettext_noop("Aimed at"), ("aim", "target", "placement", "micplacement"), 140
            ),
        ),
        PartField(
            "device",
            FieldRole.DEVICE,
            ValueKind.POINTER,
            always_shown=True,
            moves_arrival=True,
            group=DEVICE,
            searched=True,
            in_summary=True,
            at_shows=True,
            with_device=True,
            column=ListColumn(
                gettext_noop("Microphone or DI"),
                (
                    *("mic", "mics", "microphone", "micdi", "di", "device", "transducer"),
                    *("mikro", "mikrofon", "micro"),
                ),
                40,
            ),
        ),
        PartField(
            "reference_point",
            FieldRole.PLACEMENT,
            moves_arrival=True,
            group=WHERE,
            phrase=Phrase(gettext_noop("measured from {value}")),
            searched=True,
            column=ListColumn(gettext_noop("Measured from"), ("from", "reference"), 150),
        ),
        PartField(
            "output",
            FieldRole.SIGNAL,
            group=WHERE,
            searched=True,
            at_shows=True,
            column=ListColumn(
                gettext_noop("Output"),
                ("outofoutput", "ausgang", "sortie"),
                62,
                shared=gettext_noop("Stand, box"),
            ),
        ),
        PartField(
            "distance_m",
            FieldRole.PLACEMENT,
            ValueKind.LENGTH,
            moves_arrival=True,
            group=WHERE,
            phrase=Phrase(start="reference_point"),
            column=ListColumn(gettext_noop("Distance"), ("dist", "abstand"), 160),
        ),
        PartField(
            "angle_deg",
            FieldRole.PLACEMENT,
            ValueKind.NUMBER,
            symbol="°",
            moves_arrival=True,
            group=WHERE,
            phrase=Phrase(gettext_noop("{value} off axis")),
            column=ListColumn(
                gettext_noop("Angle, °"), ("angle", "deg"), 170, noun=gettext_noop("an angle")
            ),
        ),
        PartField(
            "height_m",
            FieldRole.PLACEMENT,
            ValueKind.LENGTH,
            moves_arrival=True,
            group=WHERE,
            phrase=Phrase(gettext_noop("{value} above it"), gettext_noop("{value} below it")),
            help=gettext_noop(
                "Above the point it is measured from, not above the floor; −3 cm is below."
            ),
            column=ListColumn(gettext_noop("Height"), ("high",), 180),
        ),
        PartField(
            "offset_m",
            FieldRole.PLACEMENT,
            ValueKind.LENGTH,
            moves_arrival=True,
            group=WHERE,
            phrase=Phrase(
                gettext_noop("{value} to the right"), gettext_noop("{value} to the left")
            ),
            help=gettext_noop(
                "To the right of that point as one looks at the source; −3 cm to the left."
            ),
        ),
        PartField(
            "plan_right_m", FieldRole.PLACEMENT, ValueKind.LENGTH, group=IN_PLAN, help=TO_THE_RIGHT
        ),
        PartField(
            "plan_front_m", FieldRole.PLACEMENT, ValueKind.LENGTH, group=IN_PLAN, help=TO_THE_FRONT
        ),
        PartField(
            "stand",
            FieldRole.DETAIL,
            shown_beside=True,
            group=DEVICE,
            group_order=3,
            searched=True,
            at_shows=True,
            column=ListColumn(
                gettext_noop("Stand"),
                ("stands", "micstand", "standtype", "clip", "stativ", "pied"),
                50,
                shared=gettext_noop("Stand, box"),
            ),
        ),
        PartField(
            "stage_position",
            group=DEVICE,
            group_order=4,
            searched=True,
            at_shows=True,
            column=ListColumn(
                gettext_noop("Cable or stage box"),
                (
                    *("box", "stagebox", "subbox", "multi", "patch", "cable", "line", "position"),
                    *("sub", "snake", "subsnake"),
                ),
                60,
                shared=gettext_noop("Stand, box"),
            ),
        ),
        PartField(
            "reversed_polarity",
            FieldRole.SIGNAL,
            ValueKind.YES_NO,
            label=gettext_noop("polarity"),
            off_on=(gettext_noop("normal"), gettext_noop("reversed")),
            group=DEVICE,
            group_order=2,
            column=ListColumn(
                gettext_noop("Polarity reversed"),
                ("polarity", "pol", "phase", "ø", "invert"),
                130,
                shared=gettext_noop("Polarity"),
            ),
        ),
        PartField(
            "phantom",
            FieldRole.SIGNAL,
            ValueKind.YES_NO,
            label=gettext_noop("phantom power"),
            off_on=(gettext_noop("off"), gettext_noop("on")),
            always_shown=True,
            group=DEVICE,
            group_order=1,
            at_shows=True,
            with_device=True,
            column=ListColumn(
                gettext_noop("Phantom"),
                ("48v", "48", "p48", "phantompower", "phpwr", "phpower", "needs48", "needs48v"),
                70,
            ),
        ),
        PartField(
            "ground_lift",
            FieldRole.SIGNAL,
            ValueKind.YES_NO,
            off_on=(gettext_noop("off"), gettext_noop("on")),
            group=DEVICE,
            group_order=2,
        ),
        PartField(
            "pad_db",
            FieldRole.SIGNAL,
            ValueKind.NUMBER,
            symbol="dB",
            group=MIX,
            group_order=1,
            at_shows=True,
            with_device=True,
            column=ListColumn(
                gettext_noop("Pad, dB"),
                ("pad", "paddb"),
                80,
                noun=gettext_noop("a pad in dB"),
                off=True,
                takes_away=True,
                shared=gettext_noop("Pad, gain"),
            ),
        ),
        PartField("pad_at", FieldRole.SIGNAL, group=MIX, group_order=1),
        PartField(
            "gain_db",
            FieldRole.SIGNAL,
            ValueKind.NUMBER,
            symbol="dB",
            group=MIX,
            at_shows=True,
            with_device=True,
            column=ListColumn(
                gettext_noop("Gain, dB"),
                ("gain", "preamp", "preampgain", "trim", "gaindb"),
                90,
                noun=gettext_noop("a gain in dB"),
                shared=gettext_noop("Pad, gain"),
            ),
        ),
        PartField(
            "high_pass_hz",
            FieldRole.SIGNAL,
            ValueKind.NUMBER,
            symbol="Hz",
            group=MIX,
            group_order=2,
            at_shows=True,
            column=ListColumn(
                gettext_noop("HPF, Hz"),
                ("hpf", "hp", "highpass", "lowcut", "locut"),
                100,
                noun=gettext_noop("a frequency in Hz"),
                off=True,
                shared=gettext_noop("Filters"),
                lead="HPF",
            ),
        ),
        PartField(
            "low_pass_hz",
            FieldRole.SIGNAL,
            ValueKind.NUMBER,
            symbol="Hz",
            group=MIX,
            group_order=2,
            column=ListColumn(
                gettext_noop("LPF, Hz"),
                ("lpf", "lp", "lowpass", "highcut", "hicut"),
                110,
                noun=gettext_noop("a frequency in Hz"),
                off=True,
                shared=gettext_noop("Filters"),
                lead="LPF",
            ),
        ),
        PartField(
            "delay_ms",
            FieldRole.SIGNAL,
            ValueKind.NUMBER,
            symbol="ms",
            group=MIX,
            group_order=2,
            column=ListColumn(
                gettext_noop("Delay, ms"),
                ("delay", "delayms"),
                115,
                noun=gettext_noop("a delay in ms"),
                off=True,
            ),
        ),
        PartField(
            "pan",
            FieldRole.SIGNAL,
            ValueKind.PAN,
            always_shown=True,
            group=MIX,
            group_order=2,
            column=ListColumn(gettext_noop("Pan"), ("panning", "lr"), 120),
            help=gettext_noop(
                "−100 hard left, 0 centre, 100 hard right: house left and right, as heard from "
                "the audience. House left is stage right."
            ),
        ),
        PartField("carries", FieldRole.SIGNAL, group=MIX, group_order=3),
        PartField(
            "monitors_only",
            FieldRole.SIGNAL,
            ValueKind.YES_NO,
            label=gettext_noop("goes to"),
            off_on=(gettext_noop("house and monitors"), gettext_noop("monitors only")),
            group=MIX,
            group_order=3,
            at_shows=True,
            column=ListColumn(
                gettext_noop("Monitors only"),
                ("monitoronly", "nothouse", "nofoh"),
                64,
                shared=gettext_noop("Stand, box"),
            ),
        ),
        PartField(
            "notes",
            group=NOTES,
            searched=True,
            column=ListColumn(
                gettext_noop("Notes"),
                (
                    *("note", "comment", "comments", "remarks", "remark"),
                    *("bemerkung", "bemerkungen", "remarques"),
                ),
                190,
            ),
        ),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="inputs")
    # Empty while channels are not yet given out. Two inputs with one number are a finding, no
    # error.
    number = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text=gettext_lazy("Channel on the desk."),
    )
    name = models.CharField(max_length=80)
    unit = models.ForeignKey(
        Unit,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="inputs",
        verbose_name=gettext_lazy("takes its sound from"),
    )
    aimed_at = models.CharField(
        max_length=160,
        blank=True,
        help_text=gettext_lazy("Cone edge, bell rim, bridge side …"),
    )
    # PROTECT: a revision names a device by its id, which must go on leading to it.
    device = models.ForeignKey(
        Device,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="inputs",
        verbose_name=gettext_lazy("microphone or DI"),
    )
    reference_point = models.CharField(
        gettext_lazy("measured from"),
        max_length=120,
        blank=True,
        help_text=gettext_lazy("The fixed point the tape starts at."),
    )
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
    height_m = LengthField(gettext_lazy("height"), below_zero=True)
    height_unit = LengthUnitField()
    offset_m = LengthField(gettext_lazy("sideways offset"), below_zero=True)
    offset_unit = LengthUnitField()
    # Where it is in a plan of a drum kit: from the snare's centre, as the drummer sits.
    plan_right_m = LengthField(gettext_lazy("right of the snare’s centre"), below_zero=True)
    plan_right_unit = LengthUnitField(default="cm")
    plan_front_m = LengthField(gettext_lazy("in front of the snare’s centre"), below_zero=True)
    plan_front_unit = LengthUnitField(default="cm")
    stand = models.CharField(max_length=80, blank=True)
    stage_position = models.CharField(gettext_lazy("cable or stage box"), max_length=80, blank=True)
    reversed_polarity = models.BooleanField(gettext_lazy("polarity reversed"), default=False)
    phantom = models.BooleanField(gettext_lazy("phantom power on"), default=False)
    ground_lift = models.BooleanField(
        default=False,
        help_text=gettext_lazy(
            "Of a DI: opens its cable’s shield. It has nothing to do with the mains earth."
        ),
    )
    pad_db = models.DecimalField(
        gettext_lazy("pad, dB"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-60), MaxValueValidator(0)],
        help_text=gettext_lazy("−20 for a 20 dB pad."),
    )
    pad_at = models.CharField(
        gettext_lazy("whose pad it is"), max_length=8, choices=PadAt.choices, blank=True, default=""
    )
    gain_db = models.DecimalField(
        gettext_lazy("preamp gain, dB"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(90)],
    )
    high_pass_hz = models.DecimalField(
        gettext_lazy("HPF, Hz"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20000)],
    )
    low_pass_hz = models.DecimalField(
        gettext_lazy("LPF, Hz"),
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(20), MaxValueValidator(40000)],
    )
    delay_ms = models.DecimalField(
        gettext_lazy("delay at the desk, ms"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
        help_text=gettext_lazy(
            "Delays this channel to line it up with another. No channel can be early: "
            "where a figure has a minus, delay the other channel."
        ),
    )
    pan = models.SmallIntegerField(
        default=0,
        validators=[MinValueValidator(-100), MaxValueValidator(100)],
        help_text=gettext_lazy("−100 hard left, 0 centre, 100 hard right."),
    )
    output = models.CharField(
        gettext_lazy("out of output"),
        max_length=60,
        blank=True,
        default="",
        help_text=gettext_lazy("Of a unit with several: Out 3, Main right."),
    )
    carries = models.CharField(max_length=8, choices=Carries.choices, blank=True, default="")
    monitors_only = models.BooleanField(
        gettext_lazy("to monitors only"),
        default=False,
        help_text=gettext_lazy("A click, spoken cues and timecode: never to the house."),
    )
    notes = models.TextField(blank=True, max_length=4000)

    # What it picks up, where a list has read it (rigs.revisions.sources).
    heard: Heard | None = None

    class Meta(Part.Meta):
        ordering = ["position", "number"]
        indexes = [models.Index(fields=["rig", "position"], name="input_in_order")]

    def __str__(self) -> str:
        return f"{self.number} {self.name}" if self.number is not None else self.name

    def tidy(self) -> None:
        if self.high_pass_hz and self.low_pass_hz and self.high_pass_hz >= self.low_pass_hz:
            raise ValidationError(
                {"low_pass_hz": _("The LPF is below the HPF: nothing would be left.")}
            )
