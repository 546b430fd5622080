"""What a song changes on a rig, and how long changes take."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models

from core.durations import LONGEST_S
from core.models import Production, Section, Song
from core.models.base import Identified
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.models.inputs import Input
from rigs.models.parts import Part
from rigs.models.units import Control, Unit

OFF = "off"  # the value of an input that a song does not use
_NAMES = UUID("5f3a1c52-6c0e-4a39-9d35-2b6f3f0f8a11")  # names ids of differences, see `own_id`


class SongSetting(Part):
    """One difference that a song makes on a rig; what no song speaks of stays as usual.

    A control's setting, a unit's tuning, which instrument is played, an input that is not used,
    or a cue. Of each thing a song says one thing only; of cues, as many as there are.
    """

    KIND: ClassVar[str] = "song_setting"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("song", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("what", FieldRole.HEARD_WORDS, names_part=True),
        PartField("control", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("unit", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("input", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("value", FieldRole.HEARD_WORDS, label="setting", names_part=True),
        PartField("section", FieldRole.HEARD_WORDS, ValueKind.POINTER),
        PartField("at_s", FieldRole.HEARD_WORDS, ValueKind.DURATION, label="time in the song"),
        POSITION,
    )

    class What(models.TextChoices):
        CONTROL = "control", "setting of a control"
        TUNING = "tuning", "tuning"
        INSTRUMENT = "instrument", "instrument played"
        INPUT = "input", "input not used"
        CUE = "cue", "cue"

    # what → the one field that says what it is about
    ABOUT: ClassVar[dict[str, str]] = {
        What.CONTROL: "control",
        What.TUNING: "unit",
        What.INSTRUMENT: "unit",
        What.INPUT: "input",
    }

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="song_settings")
    song = models.ForeignKey(Song, models.PROTECT, related_name="+")
    what = models.CharField(max_length=12, choices=What.choices, default=What.CONTROL)
    control = models.ForeignKey(Control, models.PROTECT, null=True, blank=True, related_name="+")
    unit = models.ForeignKey(Unit, models.PROTECT, null=True, blank=True, related_name="+")
    input = models.ForeignKey(Input, models.PROTECT, null=True, blank=True, related_name="+")
    value = models.CharField(max_length=400, blank=True)
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    at_s = models.PositiveIntegerField(
        "time in the song", null=True, blank=True, validators=[MaxValueValidator(LONGEST_S)]
    )

    class Meta(Part.Meta):
        verbose_name = "difference of a song"
        indexes = [models.Index(fields=["rig", "song"], name="difference_by_song")]

    def __str__(self) -> str:
        about = self.about_id()
        named = getattr(self, self.ABOUT[self.what]) if about else None
        text = f"{named}: {self.value}" if named and self.value else str(named or self.value)
        return f"{text} in “{self.song}”"

    def about_id(self) -> UUID | None:
        """The id of the control, unit or input it is about; None for a cue."""
        field = self.ABOUT.get(self.what)
        return getattr(self, f"{field}_id") if field else None

    def tidy(self) -> None:
        self.value = " ".join(self.value.split())
        pointer = self.ABOUT.get(self.what)
        for field in ("control", "unit", "input"):
            given = getattr(self, f"{field}_id") is not None
            if given != (field == pointer):
                message = "This needs a value." if field == pointer else "This does not go here."
                raise ValidationError({field: message})
        if self.what == self.What.INSTRUMENT and self.value:
            raise ValidationError({"value": "Which instrument is played is all there is to say."})
        if self.what == self.What.INPUT and self.value != OFF:
            raise ValidationError({"value": f"The input is not used: “{OFF}”."})
        if self.what not in (self.What.INSTRUMENT, self.What.INPUT) and not self.value:
            raise ValidationError({"value": "This needs a value."})
        if self.what != self.What.CUE and (self.section_id or self.at_s is not None):
            raise ValidationError({"section": "Only a cue belongs to a moment of the song."})


def own_id(rig: UUID, song: UUID, what: str, about: UUID | None) -> UUID:
    """The id that a difference gets on the page: the same for everybody who makes it.

    Two people who set one thing for one song at once therefore meet in one part, where they see
    both values; and a difference that went and comes back is the same part again. The instrument
    is one for each song, whichever it is. Not for cues.
    """
    named = "" if what == SongSetting.What.INSTRUMENT else str(about)
    return uuid5(_NAMES, f"{rig}/{song}/{what}/{named}")


class ChangeTimes(Identified):
    """How long the crew of a production takes for changes between two songs, in seconds.

    Where a time is empty, the one commonly assumed counts (rigs.checks.between_songs).
    """

    production = models.OneToOneField(Production, models.CASCADE, related_name="change_times")
    change_s = models.PositiveIntegerField(
        "changing the instrument", null=True, blank=True, validators=[MaxValueValidator(3600)]
    )
    string_s = models.PositiveIntegerField(
        "retuning one string", null=True, blank=True, validators=[MaxValueValidator(3600)]
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return "how long changes take"
