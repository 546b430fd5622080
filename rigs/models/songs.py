"""What a song changes on a rig, and how long changes take."""

from __future__ import annotations

from collections.abc import Set
from typing import TYPE_CHECKING, Any, ClassVar
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.durations import LONGEST_S
from core.languages.marked import gettext_noop
from core.models import Production, Section, Song
from core.models.base import Identified
from rigs.fields import POSITION, FieldRole, PartField, ValueKind
from rigs.midi import CHANNELS, DATA
from rigs.models.inputs import Input
from rigs.models.parts import Part, within
from rigs.models.scenes import Scene
from rigs.models.units import Control, Unit

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

OFF = "off"  # the value of an input that a song does not use
_NAMES = UUID("5f3a1c52-6c0e-4a39-9d35-2b6f3f0f8a11")  # names ids of differences, see `own_id`


# The numbers of a MIDI message, and what each is called.
MESSAGE = {
    "channel": gettext_noop("MIDI channel"),
    "bank_msb": gettext_noop("bank MSB"),
    "bank_lsb": gettext_noop("bank LSB"),
    "program": gettext_noop("program"),
    "controller": gettext_noop("control"),
    "amount": gettext_noop("value of the control"),
}


def _sent(name: str, label: str) -> PartField:
    return PartField(name, FieldRole.HEARD_WORDS, ValueKind.WHOLE, label=label, names_part=True)


def _number(name: str, limits: tuple[int, int], words: StrOrPromise) -> Any:
    return models.PositiveSmallIntegerField(
        gettext_lazy(MESSAGE[name]),
        null=True,
        blank=True,
        default=None,
        validators=within(limits, words),
    )


def message_problem(given: Set[str]) -> tuple[str, str] | None:
    """What is wrong with a message that has the fields `given`: the field, and the words."""
    if "program" in given and "controller" in given:
        return "controller", _(
            "A program and a control are two messages: write each on its own line."
        )
    if "controller" in given and "amount" not in given:
        return "amount", _("Say which value the control gets: 0 to 127.")
    if "amount" in given and "controller" not in given:
        return "controller", _("Say which control gets this value: 0 to 127.")
    if given & {"bank_msb", "bank_lsb"} and "program" not in given:
        return "program", _("A bank counts once a program is chosen in it: say which.")
    if not given & {"program", "controller"}:
        return "program", _("Say which program, or which control and its value.")
    return None


class SongSetting(Part):
    """One difference that a song makes on a rig; what no song speaks of stays as usual.

    A control's setting, a unit's tuning, which instrument is played, an input that is not used,
    the scene that a switcher begins with, another scene within the song, a MIDI message to a unit,
    or a cue. Of each thing a song says one thing only; of messages, cues and other scenes, as many
    as there are. A message is a program with its bank, or a control with its value; the numbers are
    as they are sent, and the channel is that of the unit where it is empty.
    """

    KIND: ClassVar[str] = "song_setting"
    FIELDS: ClassVar[tuple[PartField, ...]] = (
        PartField("song", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("what", FieldRole.HEARD_WORDS, names_part=True),
        PartField("control", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("unit", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("input", FieldRole.HEARD_WORDS, ValueKind.POINTER, names_part=True),
        PartField("scene", FieldRole.HEARD_WORDS, ValueKind.POINTER),
        PartField("value", FieldRole.HEARD_WORDS, label=gettext_noop("setting"), names_part=True),
        PartField("section", FieldRole.HEARD_WORDS, ValueKind.POINTER),
        PartField(
            "at_s",
            FieldRole.HEARD_WORDS,
            ValueKind.DURATION,
            label=gettext_noop("time in the song"),
        ),
        *(_sent(*named) for named in MESSAGE.items()),
        POSITION,
    )

    class What(models.TextChoices):
        CONTROL = "control", gettext_lazy("setting of a control")
        TUNING = "tuning", gettext_lazy("tuning")
        INSTRUMENT = "instrument", gettext_lazy("instrument played")
        INPUT = "input", gettext_lazy("input not used")
        SCENE = "scene", gettext_lazy("scene")
        SCENE_CHANGE = "scene_change", gettext_lazy("scene within the song")
        CUE = "cue", gettext_lazy("cue")
        MIDI = "midi", gettext_lazy("MIDI message")

    # what → the one field that says what it is about
    ABOUT: ClassVar[dict[str, str]] = {
        What.CONTROL: "control",
        What.TUNING: "unit",
        What.INSTRUMENT: "unit",
        What.INPUT: "input",
        What.SCENE: "unit",  # that recalls it
        What.SCENE_CHANGE: "unit",
        What.MIDI: "unit",  # that receives it
    }
    # These belong to a moment of the song, so there may be several of one thing.
    AT_A_MOMENT: ClassVar[frozenset[str]] = frozenset({What.SCENE_CHANGE, What.CUE, What.MIDI})
    OF_SCENES: ClassVar[frozenset[str]] = frozenset({What.SCENE, What.SCENE_CHANGE})

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="song_settings")
    song = models.ForeignKey(Song, models.PROTECT, related_name="+")
    what = models.CharField(max_length=12, choices=What.choices, default=What.CONTROL)
    control = models.ForeignKey(Control, models.PROTECT, null=True, blank=True, related_name="+")
    unit = models.ForeignKey(Unit, models.PROTECT, null=True, blank=True, related_name="+")
    input = models.ForeignKey(Input, models.PROTECT, null=True, blank=True, related_name="+")
    scene = models.ForeignKey(
        Scene, models.PROTECT, null=True, blank=True, default=None, related_name="+"
    )
    value = models.CharField(max_length=400, blank=True)
    section = models.ForeignKey(Section, models.PROTECT, null=True, blank=True, related_name="+")
    at_s = models.PositiveIntegerField(
        gettext_lazy("time in the song"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(LONGEST_S)],
    )
    channel = _number("channel", CHANNELS, gettext_lazy("A MIDI channel is {low} to {high}."))
    bank_msb = _number("bank_msb", DATA, gettext_lazy("A bank MSB is {low} to {high}."))
    bank_lsb = _number("bank_lsb", DATA, gettext_lazy("A bank LSB is {low} to {high}."))
    program = _number("program", DATA, gettext_lazy("A program is {low} to {high}."))
    controller = _number("controller", DATA, gettext_lazy("A control is {low} to {high}."))
    amount = _number("amount", DATA, gettext_lazy("A value of the control is {low} to {high}."))

    class Meta(Part.Meta):
        verbose_name = gettext_lazy("difference of a song")
        indexes = [models.Index(fields=["rig", "song"], name="difference_by_song")]

    def __str__(self) -> str:
        about = self.about_id()
        named = getattr(self, self.ABOUT[self.what]) if about else None
        value = str(self.scene) if self.scene_id else self.value
        text = f"{named}: {value}" if named and value else str(named or value)
        return _("{what} in “{song}”").format(what=text, song=self.song)

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
                message = (
                    _("This needs a value.") if field == pointer else _("This does not go here.")
                )
                raise ValidationError({field: message})
        self._tidy_scene()
        self._tidy_message()
        if self.what == self.What.INSTRUMENT and self.value:
            raise ValidationError(
                {"value": _("Which instrument is played is all there is to say.")}
            )
        if self.what == self.What.INPUT and self.value != OFF:
            raise ValidationError({"value": _("The input is not used: “{off}”.").format(off=OFF)})
        wordless = {self.What.INSTRUMENT, self.What.INPUT, self.What.MIDI, *self.OF_SCENES}
        if self.what not in wordless and not self.value:
            raise ValidationError({"value": _("This needs a value.")})
        is_placed = bool(self.section_id) or self.at_s is not None
        if self.what not in self.AT_A_MOMENT and is_placed:
            raise ValidationError({"section": _("This does not belong to a moment of the song.")})
        if self.what == self.What.SCENE_CHANGE and not is_placed:
            raise ValidationError({"section": _("Say when: a section, a time, or both.")})

    def _tidy_message(self) -> None:
        given = {name for name in MESSAGE if getattr(self, name) is not None}
        if self.what != self.What.MIDI:
            if given:
                raise ValidationError({min(given): _("This does not go here.")})
            return
        if self.value:
            raise ValidationError({"value": _("The numbers are all there is to say.")})
        if place := message_problem(given):
            raise ValidationError({place[0]: place[1]})

    def _tidy_scene(self) -> None:
        if (self.scene_id is not None) != (self.what in self.OF_SCENES):
            missing = self.scene_id is None
            words = _("This needs a value.") if missing else _("This does not go here.")
            raise ValidationError({"scene": words})
        if self.scene_id is not None and self.value:
            raise ValidationError({"value": _("Which scene it is is all there is to say.")})


def own_id(rig: UUID, song: UUID, what: str, about: UUID | None) -> UUID:
    """The id that a difference gets on the page: the same for everybody who makes it.

    `song` may be a scene as well. Two people who set one thing for one song at once therefore meet
    in one part, where they see both values; and a difference that went and comes back is the same
    part again. The instrument is one for each song, whichever it is. Not for what belongs to a
    moment of the song.
    """
    named = "" if what == SongSetting.What.INSTRUMENT else str(about)
    return uuid5(_NAMES, f"{rig}/{song}/{what}/{named}")


class ChangeTimes(Identified):
    """How long the crew of a production takes for changes between two songs, in seconds.

    Where a time is empty, the one commonly assumed counts (rigs.checks.between_songs).
    """

    production = models.OneToOneField(Production, models.CASCADE, related_name="change_times")
    change_s = models.PositiveIntegerField(
        gettext_lazy("changing the instrument"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(3600)],
    )
    string_s = models.PositiveIntegerField(
        gettext_lazy("retuning one string"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(3600)],
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return _("how long changes take")
