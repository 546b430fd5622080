"""What wears on a unit and is carried as a spare, and the log of when it was changed.

That a set of strings is of these gauges and lasts four shows documents the sound, so it is part of
the rig's history. That somebody put a new set on yesterday does not: that is a log of its own.
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core import clock
from core.languages.marked import gettext_noop
from core.languages.sentences import label_retold
from core.models import Show
from core.models.base import Identified
from core.personal.fields import PersonalCharField
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.gear.gauges import parse_gauges
from rigs.models.due import Per
from rigs.models.parts import Part
from rigs.models.units import Unit
from rigs.signal.notes import format_note, parse_note


class Spare(Part):
    """What is changed now and then on a unit: what it is, how often, how many to carry."""

    KIND: ClassVar[str] = "spare"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField(
            "unit",
            FieldRole.HEARD_WORDS,
            ValueKind.POINTER,
            label=gettext_noop("belongs to"),
            names_part=True,
            searched=True,
        ),
        PartField("sort", FieldRole.HEARD_WORDS, names_part=True, searched=True, in_summary=True),
        PartField("what", FieldRole.GEAR, names_part=True, searched=True),
        PartField("maker", FieldRole.HEARD_WORDS, searched=True),
        PartField("gauges", FieldRole.GEAR, in_summary=True),
        PartField("side", FieldRole.HEARD_WORDS, in_summary=True),
        PartField("pitch", FieldRole.HEARD_WORDS, in_summary=True),
        PartField("pitch_at", FieldRole.HEARD_WORDS),
        PartField("in_use", kind=ValueKind.WHOLE),
        PartField("carried", kind=ValueKind.WHOLE),
        PartField("every", kind=ValueKind.WHOLE),
        PartField("per"),
        POSITION,
    )

    class Sort(models.TextChoices):
        STRING_SET = "string_set", gettext_lazy("string set")
        STRING = "string", gettext_lazy("single string")
        HEAD = "head", gettext_lazy("drum head")
        BATTERY = "battery", gettext_lazy("battery")
        VALVE = "valve", gettext_lazy("valve")
        FUSE = "fuse", gettext_lazy("fuse")
        STICK = "stick", gettext_lazy("sticks or beater")
        PAD = "pad", gettext_lazy("pad or felt")
        CABLE = "cable", gettext_lazy("cable")
        OTHER = "other", gettext_lazy("other")

    class DrumSide(models.TextChoices):
        NONE = "", gettext_lazy("does not apply")
        BATTER = "batter", gettext_lazy("batter head")
        RESONANT = "resonant", gettext_lazy("resonant head")

    class PitchAt(models.TextChoices):
        """What the note was taken from: a drum rings lower as a whole than its head at a lug."""

        NOT_SAID = "", gettext_lazy("not said")
        LUG = "lug", gettext_lazy("by lug: the head struck beside each lug")
        FUNDAMENTAL = "fundamental", gettext_lazy("fundamental: the drum struck in the middle")

    class EveryChoice(models.TextChoices):
        HAND = Per.HAND.value, gettext_lazy("when it is worn")
        SHOWS = Per.SHOWS.value, pgettext_lazy("concerts", "shows")
        DAYS = Per.DAYS.value, gettext_lazy("days")

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="spares")
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="spares")
    sort = models.CharField(
        gettext_lazy("kind of thing"), max_length=12, choices=Sort.choices, default="other"
    )
    what = models.CharField(
        gettext_lazy("what exactly"),
        max_length=160,
        help_text=gettext_lazy(
            "Type and values as on the box: 9 V block, T 1 A 250 V, coated 14 in …"
        ),
    )
    maker = models.CharField(max_length=80, blank=True)
    gauges = models.CharField(
        max_length=160,
        blank=True,
        help_text=gettext_lazy("Of strings, in order: 10 13 17 26w 36w 46w, or 0.25 0.33 0.43 mm."),
    )
    side = models.CharField(
        gettext_lazy("side of the drum"),
        max_length=8,
        choices=DrumSide.choices,
        blank=True,
        default="",
    )
    pitch = models.CharField(
        gettext_lazy("tuned to"),
        max_length=8,
        blank=True,
        help_text=gettext_lazy("Of a drum head, with its octave: F#3."),
    )
    pitch_at = models.CharField(
        gettext_lazy("the note is taken"),
        max_length=12,
        choices=PitchAt.choices,
        blank=True,
        default="",
        help_text=gettext_lazy(
            "Lug and fundamental differ by several semitones: a note that does not say which "
            "cannot be tuned to."
        ),
    )
    in_use = models.PositiveSmallIntegerField(
        gettext_lazy("in use"),
        default=1,
        validators=[MaxValueValidator(999)],
        help_text=gettext_lazy("How many it takes."),
    )
    carried = models.PositiveSmallIntegerField(
        gettext_lazy("spares to carry"), default=0, validators=[MaxValueValidator(999)]
    )
    every = models.PositiveSmallIntegerField(
        gettext_lazy("changed every"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(999)],
    )
    per = models.CharField(
        gettext_lazy("counted in"),
        max_length=5,
        choices=EveryChoice.choices,
        blank=True,
        default="",
    )

    class Meta(Part.Meta):
        indexes = [models.Index(fields=["rig", "position"], name="spare_in_order")]

    def __str__(self) -> str:
        return self.what

    def tidy(self) -> None:
        wrong = {}
        # Each says nothing without the other.
        if bool(self.per) != (self.every is not None):
            wrong["every"] = (
                _("Say after how many.") if self.per else _("Say whether these are shows or days.")
            )
        try:
            self.gauges = parse_gauges(self.gauges).text if self.gauges else ""
        except ValueError as error:
            wrong["gauges"] = str(error)
        try:
            self.pitch = _note(self.pitch)
        except ValueError:
            wrong["pitch"] = _("“{pitch}” is no note with its octave, such as F#3 or Bb2.").format(
                pitch=self.pitch
            )
        if self.pitch_at and not self.pitch:
            wrong.setdefault("pitch", _("Write the note, or do not say where it is taken."))
        if wrong:
            raise ValidationError(wrong)


def _note(written: str) -> str:
    """A note in its one spelling; flats stay flats."""
    if not written:
        return ""
    flat = written[1:2] in ("b", "♭")
    return format_note(parse_note(written), flats=flat)


class UpkeepEntry(Identified):
    """An entry that somebody changed something on a day, perhaps for a show.

    It is outside of the rig's history. A mistaken entry is corrected by another one that takes it
    back.
    """

    APPEND_ONLY: ClassVar[bool] = True

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="upkeep")
    spare = models.ForeignKey(Spare, models.PROTECT, related_name="entries")
    said_of = models.CharField(max_length=240, editable=False)  # what it was then
    show = models.ForeignKey(Show, models.PROTECT, null=True, blank=True, related_name="upkeep")
    done_on = models.DateField(gettext_lazy("changed on"))
    words = PersonalCharField(gettext_lazy("remark"), max_length=300, blank=True, person="by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    # Accounts change their names.
    by_name = PersonalCharField(max_length=120, editable=False, kind="name", person="by")
    at = models.DateTimeField(default=clock.now, editable=False)
    # One to one: an entry can be taken back once only, whoever presses first.
    takes_back = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="taken_back", editable=False
    )

    class Meta:
        ordering = ["-done_on", "-at"]
        indexes = [models.Index(fields=["spare", "-done_on", "-at"], name="upkeep_of_spare")]

    def __str__(self) -> str:
        return f"{self.said_of}, {self.done_on:%Y-%m-%d}"

    @property
    def told_of(self) -> str:
        """`said_of`, which is kept in English, with its sort in the language of the reader."""
        sort, colon, spare = self.said_of.partition(": ")
        return f"{label_retold(sort, Spare.Sort.labels)}{colon}{spare}"
