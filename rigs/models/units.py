"""The gear in a rig, its controls, and the cables between."""

from __future__ import annotations

from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from core.models.fields import LengthField, LengthUnitField
from rigs.fields import (
    FOR_CUSTOMS,
    IN_PLAN,
    ON_THE_ROAD,
    PLAYBACK,
    POSITION,
    TO_THE_FRONT,
    TO_THE_RIGHT,
    FieldRole,
    PartField,
    ValueKind,
)
from rigs.gear import Gear, gear_choices, gear_of
from rigs.midi import CHANNELS, FROM_0, FROM_1
from rigs.models.customs import customs_columns, tidy_customs
from rigs.models.parts import Part, within
from rigs.settings_of_controls import STYLE_CHOICES, Style, tidy_setting


class Unit(Part):
    """One piece of gear in a rig, from an instrument to a loudspeaker."""

    KIND: ClassVar[str] = "unit"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("name", names_part=True, searched=True),
        PartField("gear", FieldRole.GEAR, searched=True, in_summary=True),
        PartField("maker", FieldRole.GEAR, searched=True, in_summary=True),
        PartField("model", FieldRole.GEAR, searched=True, in_summary=True),
        PartField("serial", FieldRole.GEAR, searched=True),
        PartField("tuning", FieldRole.GEAR, searched=True),
        PartField("notes", searched=True),
        POSITION,
        PartField("stage_position", searched=True, group=ON_THE_ROAD),
        PartField("mains_circuit", searched=True, group=ON_THE_ROAD),
        PartField("mains_rating", group=ON_THE_ROAD),
        PartField("packed_in", searched=True, group=ON_THE_ROAD),
        PartField("country_of_origin", group=FOR_CUSTOMS),
        PartField("worth", kind=ValueKind.NUMBER, label=gettext_noop("value"), group=FOR_CUSTOMS),
        PartField("currency", group=FOR_CUSTOMS),
        PartField(
            "plan_right_m",
            FieldRole.HEARD_WORDS,
            ValueKind.LENGTH,
            group=IN_PLAN,
            help=TO_THE_RIGHT,
        ),
        PartField(
            "plan_front_m",
            FieldRole.HEARD_WORDS,
            ValueKind.LENGTH,
            group=IN_PLAN,
            help=TO_THE_FRONT,
        ),
        PartField("machine", FieldRole.DETAIL, group=PLAYBACK),
        PartField("session", FieldRole.HEARD_WORDS, searched=True, group=PLAYBACK),
        PartField(
            "midi_channel",
            FieldRole.SIGNAL,
            ValueKind.WHOLE,
            label=gettext_noop("MIDI channel"),
            names_part=True,
            group=PLAYBACK,
        ),
        PartField("programs_from", FieldRole.DETAIL, names_part=True, group=PLAYBACK),
    )

    TOGETHER: ClassVar[tuple[tuple[str, ...], ...]] = (("worth", "currency"),)

    class Machine(models.TextChoices):
        ALONE = "", gettext_lazy("none: it runs alone")
        A = "A", gettext_lazy("A, which is heard first")
        B = "B", gettext_lazy("B, which runs along and takes over")

    class Programs(models.TextChoices):
        UNSTATED = "", gettext_lazy("not stated")
        FROM_0 = FROM_0, gettext_lazy("from 0")
        FROM_1 = FROM_1, gettext_lazy("from 1")

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="units")
    name = models.CharField(max_length=120, help_text=gettext_lazy("What the crew calls it."))
    gear = models.CharField(
        gettext_lazy("kind of gear"), max_length=24, choices=gear_choices, default="other"
    )
    maker = models.CharField(max_length=80, blank=True)
    model = models.CharField(max_length=80, blank=True)
    serial = models.CharField(gettext_lazy("serial number or label"), max_length=80, blank=True)
    tuning = models.CharField(
        max_length=80,
        blank=True,
        help_text=gettext_lazy("Open strings, low to high: D2 A2 D3 G3 B3 E4."),
    )
    notes = models.TextField(blank=True, max_length=4000)
    stage_position = models.CharField(
        gettext_lazy("place on stage"),
        max_length=80,
        blank=True,
        help_text=gettext_lazy(
            "Drum riser, stage left behind the bass … Mains power is added up by it."
        ),
    )
    mains_circuit = models.CharField(
        max_length=80,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "The circuit it is plugged into, as it is labelled, with its figures where they "
            "are known: Backline left, 230 V, 16 A. Write it alike for all that share it."
        ),
    )
    mains_rating = models.CharField(
        gettext_lazy("mains, as its rating plate says"),
        max_length=120,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "Read off the plate: 100–240 V, 50/60 Hz, 1.6 A. A slash between volts is a "
            "selector: 120/230 V."
        ),
    )
    packed_in = models.CharField(
        gettext_lazy("case it travels in"),
        max_length=80,
        blank=True,
        help_text=gettext_lazy(
            "As written on the case: Case 4. Units with the same case share its label."
        ),
    )
    country_of_origin, worth, currency = customs_columns()
    # Where its centre is in a plan of the kit: from the snare's centre, as the drummer sits.
    plan_right_m = LengthField(gettext_lazy("right of the snare’s centre"), below_zero=True)
    plan_right_unit = LengthUnitField(default="cm")
    plan_front_m = LengthField(gettext_lazy("in front of the snare’s centre"), below_zero=True)
    plan_front_unit = LengthUnitField(default="cm")
    machine = models.CharField(
        gettext_lazy("machine of a pair"),
        max_length=1,
        choices=Machine.choices,
        blank=True,
        default="",
    )
    session = models.CharField(
        max_length=120,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "What is loaded, with its version: Spring set, version 14. Where machines A and "
            "B are not alike, a finding says so."
        ),
    )
    midi_channel = models.PositiveSmallIntegerField(
        gettext_lazy("MIDI channel"),
        null=True,
        blank=True,
        validators=within(CHANNELS, gettext_lazy("A MIDI channel is {low} to {high}.")),
    )
    programs_from = models.CharField(
        gettext_lazy("counts its programs"),
        max_length=1,
        choices=Programs.choices,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "What its display calls the first one. Both numbers are shown everywhere."
        ),
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="unit_in_order")]

    def __str__(self) -> str:
        return self.name

    def tidy(self) -> None:
        tidy_customs(self)

    @property
    def traits(self) -> Gear:
        return gear_of(self.gear)


class Control(Part):
    """One knob, switch or parameter with its setting."""

    KIND: ClassVar[str] = "control"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "unit",
            FieldRole.HEARD_WORDS,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
            searched=True,
        ),
        PartField("name", names_part=True, searched=True),
        PartField("style", FieldRole.SCALE, label=gettext_noop("kind of control"), names_part=True),
        PartField("low", FieldRole.SCALE, ValueKind.NUMBER),
        PartField("high", FieldRole.SCALE, ValueKind.NUMBER),
        PartField("choices", FieldRole.SCALE),
        PartField(
            "symbol", FieldRole.SCALE, label=gettext_noop("unit of the value"), names_part=True
        ),
        PartField("setting", FieldRole.SETTING, ValueKind.SETTING, in_summary=True),
        POSITION,
    )

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="controls")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="controls")
    name = models.CharField(max_length=80)
    style = models.CharField(max_length=8, choices=STYLE_CHOICES, default=Style.CLOCK.value)
    low = models.DecimalField(
        gettext_lazy("dial starts at"), max_digits=8, decimal_places=3, null=True, blank=True
    )
    high = models.DecimalField(
        gettext_lazy("dial ends at"), max_digits=8, decimal_places=3, null=True, blank=True
    )
    choices = models.CharField(
        max_length=400,
        blank=True,
        help_text=gettext_lazy("Separated by commas: bright, normal, dark."),
    )
    symbol = models.CharField(
        gettext_lazy("unit"), max_length=12, blank=True, help_text=gettext_lazy("ms, dB, Hz, % …")
    )
    setting = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("2:30 on a clock dial, 6.5 on a numbered one, on, 35."),
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="control_in_order")]

    def __str__(self) -> str:
        return self.name

    def tidy(self) -> None:
        try:
            self.setting = tidy_setting(
                Style(self.style), self.setting, self.low, self.high, self.choices
            )
        except ValueError as error:
            raise ValidationError({"setting": str(error)}) from None


class Link(Part):
    """A cable (or a radio path) from one unit's output to another's input."""

    KIND: ClassVar[str] = "link"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "source",
            FieldRole.SIGNAL,
            ValueKind.POINTER,
            label=gettext_noop("from"),
            names_part=True,
        ),
        PartField(
            "target", FieldRole.SIGNAL, ValueKind.POINTER, label=gettext_noop("to"), names_part=True
        ),
        PartField(
            "from_socket",
            FieldRole.SIGNAL,
            label=gettext_noop("out of socket"),
            help=gettext_noop("Of an effects loop: send."),
        ),
        PartField(
            "to_socket",
            FieldRole.SIGNAL,
            label=gettext_noop("into socket"),
            help=gettext_noop("Of an effects loop: return."),
        ),
        PartField("carries", FieldRole.SIGNAL),
        PartField("cable", FieldRole.SIGNAL, in_summary=True),
        PartField("connectors", FieldRole.SIGNAL),
        PartField("length_m", FieldRole.SIGNAL, ValueKind.LENGTH, in_summary=True),
        POSITION,
    )

    class Carries(models.TextChoices):
        INSTRUMENT = "instrument", gettext_lazy("instrument level")
        LINE = "line", gettext_lazy("line level")
        MIC = "mic", gettext_lazy("microphone level")
        SPEAKER = "speaker", gettext_lazy("speaker power")
        DIGITAL = "digital", gettext_lazy("digital audio")
        CONTROL = "control", gettext_lazy("control or switching")
        RADIO = "radio", gettext_lazy("radio")
        POWER = "power", gettext_lazy("power for other gear")

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="links")
    source = models.ForeignKey(Unit, models.PROTECT, related_name="links_out")
    target = models.ForeignKey(Unit, models.PROTECT, related_name="links_in")
    from_socket = models.CharField(max_length=60, blank=True)
    to_socket = models.CharField(max_length=60, blank=True)
    carries = models.CharField(max_length=12, choices=Carries.choices, default=Carries.INSTRUMENT)
    cable = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("Name or label, connectors."),
    )
    connectors = models.CharField(
        max_length=80,
        blank=True,
        help_text=gettext_lazy("From end to end: ¼ in straight to ¼ in angled."),
    )
    length_m = LengthField(gettext_lazy("cable length"), limit_m=500)
    length_unit = LengthUnitField(default="m")

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="link_in_order")]

    def __str__(self) -> str:
        return f"{self.source} → {self.target}"

    # A unit feeding itself would be a loop in every walk along the cables.
    def tidy(self) -> None:
        if self.source_id == self.target_id:
            raise ValidationError({"target": _("A cable from a unit back into itself is no path.")})
