"""The fields of the form on what one song changes: one for each thing that a song may speak of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, cast
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.durations import DurationInput
from core.models import Section
from rigs.models import Control, Input, Part, Rig, Scene, SongSetting, Unit
from rigs.models.songs import OFF
from rigs.units.settings_form import setting_field
from rigs.wording import fields as words

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

What = SongSetting.What
# Names of fields begin with one of these: a tuning, a control, an input, the scene of a unit; then
# the part's id.
SPOKEN_OF: dict[str, type[Part]] = {"t": Unit, "c": Control, "i": Input, "s": Unit}


# The endings of the names of the fields that say when something happens within a song.
MOMENT_COLUMNS = {"-section": "section", "-at": "at_s"}


class Moment(NamedTuple):
    """Something that happens within a song: what it is, and the column that says it."""

    what: str
    column: str
    missing: StrOrPromise  # what to say where only its moment was given

    def columns(self) -> dict[str, str]:
        """The column for each ending of the names of its fields."""
        return {"": self.column, **MOMENT_COLUMNS}


# Names of fields begin with one of these, then the part's id or the name of a new line.
MOMENTS = {
    "q": Moment(What.CUE, "value", gettext_lazy("Say what is to happen there.")),
    "x": Moment(What.SCENE_CHANGE, "scene", gettext_lazy("Choose the scene.")),
}


class Slot(NamedTuple):
    """What a field of the form stands for: a thing a song may change, or one column of what happens
    within it."""

    what: str
    column: str
    about: UUID | None = None  # of the control, unit or input
    line: str = ""  # id of what happens within the song, or the name of a line for something new
    letter: str = ""  # of `MOMENTS`


class MessageRow(NamedTuple):
    """The fields of a MIDI message, one that is there or a new one."""

    is_stated: bool
    fields: list[forms.BoundField]

    @property
    def is_open(self) -> bool:
        """Whether it is to be seen at once: it is there, was typed, or is wrong."""
        return self.is_stated or any(f.errors or f.value() not in (None, "") for f in self.fields)


def instrument_field(units: Iterable[Unit], current: object) -> forms.ChoiceField | None:
    """A field for the instrument played; None without a choice. The first is the usual one."""
    held = [unit for unit in units if unit.traits.held]
    if len(held) < 2:
        return None
    # The usual one is offered by name only where somebody has said so before.
    offered = [unit for unit in held if unit is not held[0] or str(unit.pk) == current]
    choices = [
        ("", _("as usual: {setting}").format(setting=held[0])),
        *((str(unit.pk), unit.name) for unit in offered),
    ]
    return forms.ChoiceField(label=_("Instrument played"), required=False, choices=choices)


def tuning_field(unit: Unit) -> forms.CharField:
    return forms.CharField(
        label=_("Tuning"),
        required=False,
        max_length=80,
        help_text=_as_usual(unit.tuning) if unit.tuning else _("As usual: not stated."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


def control_field(control: Control) -> forms.Field:
    known: dict[str, Any] = {"style": control.style, "symbol": control.symbol}
    usual = words.setting(control.setting, known)
    field = setting_field(
        control.name,
        control.style,
        control.choices,
        control.symbol,
        scale=(control.low, control.high),
    )
    if isinstance(field, forms.ChoiceField):
        # In place of the empty choice that the field brings along.
        said = _("as usual: {setting}").format(setting=usual) if usual else _("as usual: not noted")
        field.choices = [("", said), *cast("list[Any]", field.choices)[1:]]
    else:
        field.help_text = _as_usual(usual) if usual else _("As usual: not noted.")
    return field


def _as_usual(setting: str) -> str:
    return _("As usual: {setting}.").format(setting=setting)


def input_field(entry: Input) -> forms.ChoiceField:
    choices = [("", _("used, as usual")), (OFF, _("not used in this song"))]
    return forms.ChoiceField(label=str(entry), required=False, choices=choices)


def scene_field(unit: Unit, scenes: Iterable[Scene]) -> forms.ChoiceField:
    choices = [("", _("none: as documented")), *((str(scene.pk), str(scene)) for scene in scenes)]
    return forms.ChoiceField(label=_("Scene"), required=False, choices=choices)


def scene_change_field(scenes: Iterable[Scene]) -> forms.ChoiceField:
    """Which scene is recalled within the song; `scenes` with the unit of each at hand."""
    offered = [
        (str(scene.pk), _("{scene}, on {unit}").format(scene=scene, unit=scene.unit))
        for scene in scenes
    ]
    return forms.ChoiceField(label=_("Scene"), required=False, choices=[("", _("none")), *offered])


def cue_field() -> forms.CharField:
    text_input = forms.TextInput(attrs={"placeholder": _("drive pedal on"), "autocomplete": "off"})
    return forms.CharField(label=_("Cue"), required=False, max_length=400, widget=text_input)


def moment_fields(sections: Sequence[Section], held: object) -> dict[str, forms.Field]:
    """The fields for section and time of a moment in a song, by the ending of their names."""
    # A retired section is offered only to what stands in it, so that saving keeps it.
    offered = [s for s in sections if not s.is_retired or str(s.pk) == held]
    choices = [("", _("anywhere")), *((str(section.pk), section.name) for section in offered)]
    return {
        "-section": forms.ChoiceField(label=_("Section"), required=False, choices=choices),
        "-at": DurationInput(label=_("Time")),
    }


def name_of(rig: Rig, letter: str, about: str) -> str:
    """The name of what a field was about, read from the name of the field in the form."""
    try:
        return str(SPOKEN_OF[letter].objects.filter(pk=UUID(about), rig=rig).first() or "that")
    except (ValueError, ValidationError):
        return "that"
