"""What a field of a part of a rig is: one row for each, written beside its model.

A model of a part lists its rows in `FIELDS` and registers them here. Whatever else has to know a
field derives it from its row: how its value reads in words, whether a change of it needs a
reason, how far up it stands when differences are told, where it is on the form, which column of
the input list it is and how the sentence of a placement says it. Pure: no database. The
words of rows are English, and are translated where they are shown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class Rank(IntEnum):
    """How large a difference is, the largest first."""

    MICROPHONE = 0
    PLACEMENT = 1
    GEAR = 2
    SETTING = 3
    DESK = 4
    WORDS = 5


class FieldRole(StrEnum):
    """What a field means for the sound; `_TRAITS` says what follows from it."""

    DEVICE = "which microphone or DI"
    PLACEMENT = "where it stands"
    GEAR = "which instrument, amplifier or strings, and how it is tuned"
    SETTING = "where a control stands"
    SCALE = "what a control’s setting is read on"
    SIGNAL = "the desk’s part of an input, a cable, a figure"
    DETAIL = "written beside those; the sound is the same"
    VARIANT = "what a rig is for, and whether it is put away"
    SIGNED_WORDS = "how it should sound: what gets signed"
    HEARD_WORDS = "ranks with words, and yet another one is heard"
    WORDS = "names, notes, order, whereabouts"


class _Traits(NamedTuple):
    rank: Rank
    of_sound: bool = True
    needs_reason: bool = False


# By role and not by field: a new field gets its rank and its need of a reason with its role.
_TRAITS: dict[FieldRole, _Traits] = {
    FieldRole.DEVICE: _Traits(Rank.MICROPHONE, needs_reason=True),
    FieldRole.PLACEMENT: _Traits(Rank.PLACEMENT, needs_reason=True),
    FieldRole.GEAR: _Traits(Rank.GEAR),
    FieldRole.SETTING: _Traits(Rank.SETTING),
    FieldRole.SCALE: _Traits(Rank.SETTING),
    FieldRole.SIGNAL: _Traits(Rank.DESK),
    FieldRole.DETAIL: _Traits(Rank.DESK, of_sound=False),
    FieldRole.VARIANT: _Traits(Rank.GEAR, of_sound=False),
    FieldRole.SIGNED_WORDS: _Traits(Rank.WORDS),
    FieldRole.HEARD_WORDS: _Traits(Rank.WORDS),
    FieldRole.WORDS: _Traits(Rank.WORDS, of_sound=False),
}


class ValueKind(StrEnum):
    """How a value is stored, and so how it reads and is written."""

    TEXT = "text"  # also one of the choices of its model
    YES_NO = "yes or no"
    WHOLE = "whole number"
    NUMBER = "number"  # with the symbol of its unit, if it has one
    LENGTH = "length"  # metres; a second field `…_unit` has the unit it was written in
    FRACTION = "fraction"  # of a picture's side
    DURATION = "duration"  # in seconds
    PAN = "pan"
    SETTING = "setting"  # of a control, read with the control's style and unit
    FIGURE = "figure"  # of a unit, in the SI unit that rigs.facts names
    POINTER = "pointer"  # the id of another part or record


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A column of the input list.

    `names` are other headings that mean it on import: lower case, without spaces and marks.
    `order` sorts the columns; `noun` says what a cell must be (“a gain in dB”). With `off`, “no”,
    “off”, 0 and a dash mean none. `takes_away`: 20 means −20. On pages and on paper, columns with
    the same `shared` heading are one, and `lead` stands before the value; what the sentence of a
    placement says is there in that sentence.
    """

    heading: str
    names: tuple[str, ...]
    order: int
    noun: str = ""
    off: bool = False
    takes_away: bool = False
    shared: str = ""
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Phrase:
    """How the sentence of a placement says a field: “{value} above it”.

    `negative` is for one below zero, which is said without its sign; a field that has it says
    nothing at zero. `start` is the field with the point that a length is measured from.
    """

    words: str = "{value}"
    negative: str = ""
    start: str = ""


@dataclass(frozen=True, slots=True)
class PartField:
    """One tracked field of a part.

    label: given only where the model's own word does not stand alone.
    symbol: the symbol of its unit, shown behind a number.
    off_on: the words for no and yes.
    names_part: a part's name, or the words of one of its values, is made from it.
    always_shown: told even where it is at its default.
    shown_beside: listed with the microphone and its placement, though it is neither.
    moves_arrival: with another value the sound arrives at another moment.
    searched: its words are in the index of the search.
    in_summary: told when the whole part comes or goes, beside its placement.
    at_shows: of an input, it may differ at one show; such a field has a column.
    with_device: it goes with the microphone or DI where a substitute becomes the rig's own.
    leaves_for_reason: a part that has it does not leave without a reason, unless what it points at
        leaves with it.
    help: stands below the field on a form, in place of the model's help text.
    group: the heading on the form.
    group_order: for fields whose order on the form is not that of the rows.
    column: the column of the input list, if the field is one.
    phrase: how the sentence of a placement says it.
    """

    name: str
    role: FieldRole = FieldRole.WORDS
    kind: ValueKind = ValueKind.TEXT
    label: str = ""
    symbol: str = ""
    off_on: tuple[str, str] = (gettext_noop("no"), gettext_noop("yes"))
    names_part: bool = False
    always_shown: bool = False
    shown_beside: bool = False
    moves_arrival: bool = False
    searched: bool = False
    in_summary: bool = False
    at_shows: bool = False
    with_device: bool = False
    leaves_for_reason: bool = False
    help: str = ""
    group: str = ""
    group_order: int = 0
    column: ListColumn | None = None
    phrase: Phrase | None = None

    @property
    def is_length(self) -> bool:
        return self.kind is ValueKind.LENGTH

    @property
    def key(self) -> str:
        """The name without the unit of storage: “distance” of distance_m."""
        return self.name.removesuffix("_m") if self.is_length else self.name

    @property
    def unit_field(self) -> str:
        """The name of the field with the unit that a length was written in; empty for others."""
        return f"{self.key}_unit" if self.is_length else ""

    @property
    def stored(self) -> tuple[str, ...]:
        """The names of what a value takes: one, or metres and unit."""
        return (self.name, self.unit_field) if self.is_length else (self.name,)

    @property
    def rank(self) -> Rank:
        return _TRAITS[self.role].rank

    @property
    def of_sound(self) -> bool:
        return _TRAITS[self.role].of_sound

    @property
    def needs_reason(self) -> bool:
        return _TRAITS[self.role].needs_reason

    @property
    def is_beside_device(self) -> bool:
        """Whether it is listed with the microphone and its placement, and not with the desk."""
        return self.shown_beside or self.role in (FieldRole.DEVICE, FieldRole.PLACEMENT)

    @property
    def is_placement(self) -> bool:
        return self.role is FieldRole.PLACEMENT


# Headings of forms; translated where they stand, as all words of rows are.
ON_THE_ROAD = gettext_noop("On stage and on the road")
DEVICE = gettext_noop("Microphone or DI")
WHERE = gettext_noop("Where it stands")
FOR_CUSTOMS = gettext_noop("For a carnet")
IN_PLAN = gettext_noop("In the plan of a kit")
PLAYBACK = gettext_noop("Playback and MIDI")
MIX = gettext_noop("Baseline mix")
NOTES = gettext_noop("Notes")

# What a length in a plan of a kit is measured along; a minus turns each round.
TO_THE_RIGHT = gettext_noop("As the drummer sits, tape held level: 62 cm, or −62 cm to the left.")
TO_THE_FRONT = gettext_noop(
    "Away from the drummer, tape held level: 45 cm, or −45 cm behind the snare."
)

POSITION = PartField("position", kind=ValueKind.WHOLE, label=gettext_noop("place in the order"))


def length_unit_of(row: PartField) -> PartField:
    """The row of the unit that a length was written in: another unit is the same length."""
    # Never of the sound, even where the length is: 62 cm written as 0.62 m is the same place.
    role = FieldRole.WORDS if row.rank is Rank.WORDS else FieldRole.DETAIL
    return PartField(row.unit_field, role)


_ROWS: dict[str, tuple[PartField, ...]] = {}
_BY_NAME: dict[str, dict[str, PartField]] = {}
_LENGTH_OF_UNIT: dict[str, dict[str, PartField]] = {}


def register(kind: str, rows: Iterable[PartField]) -> tuple[PartField, ...]:
    """Register the rows of a kind of part, and return them with those of the units of lengths.

    Rows are given and returned in reading order. Raises ValueError for a name that stands twice,
    and for a field that may differ at shows but has no column.
    """
    stated = tuple(rows)
    # When models are imported: a row that is wrong stops the program at its start.
    if without := [row.name for row in stated if row.at_shows and row.column is None]:
        raise ValueError(f"No column shows what differs at a show: {', '.join(without)}.")
    whole: list[PartField] = []
    for row in stated:
        whole.append(row)
        if row.is_length:
            whole.append(length_unit_of(row))
    by_name = {row.name: row for row in whole}
    if len(by_name) != len(whole):
        raise ValueError(f"A field of “{kind}” stands twice.")
    _ROWS[kind], _BY_NAME[kind] = tuple(whole), by_name
    # Changes are stored by field, so that a change of a unit alone has to lead back to its length.
    _LENGTH_OF_UNIT[kind] = {row.unit_field: row for row in stated if row.is_length}
    return _ROWS[kind]


def rows_of(kind: str) -> tuple[PartField, ...]:
    """The rows of a kind of part in reading order; none for a kind that is not known."""
    return _ROWS.get(kind, ())


def find(kind: str, name: str) -> PartField | None:
    """The row of a field; None for one that a later version of the program dropped."""
    return _BY_NAME.get(kind, {}).get(name)


def length_with_unit(kind: str, name: str) -> PartField | None:
    """The length whose unit the field `name` is; None where it is no such unit."""
    return _LENGTH_OF_UNIT.get(kind, {}).get(name)


def lengths_of(kind: str) -> tuple[PartField, ...]:
    """The lengths among the fields of a kind of part."""
    return tuple(row for row in rows_of(kind) if row.is_length)


def kinds_with_lengths() -> tuple[str, ...]:
    """The kinds of part that have a length among their fields."""
    return tuple(kind for kind in _ROWS if lengths_of(kind))


def placement_of(kind: str) -> tuple[PartField, ...]:
    """The fields that say where a microphone stands."""
    return tuple(row for row in rows_of(kind) if row.is_placement)


def listed_of(kind: str) -> tuple[PartField, ...]:
    """The fields that are columns of the input list, in its order."""
    columns = [(row.column.order, row) for row in rows_of(kind) if row.column]
    return tuple(row for _, row in sorted(columns, key=lambda pair: pair[0]))


def searched_of(kind: str) -> tuple[PartField, ...]:
    """The fields whose words are in the index, in the order of rank."""
    return tuple(sorted((r for r in rows_of(kind) if r.searched), key=lambda row: row.rank))


def labels_of(kind: str) -> dict[str, StrOrPromise]:
    """The labels of fields, by name, where the model's own word does not stand alone."""
    return {row.name: gettext_lazy(row.label) for row in rows_of(kind) if row.label}


def help_texts_of(kind: str) -> dict[str, StrOrPromise]:
    """The texts below the fields of a form, by name, where the row states one."""
    return {row.name: gettext_lazy(row.help) for row in rows_of(kind) if row.help}


def reasons_needed_by(kind: str) -> tuple[str, ...]:
    """The names of the fields that are not changed without a reason once they are documented."""
    return tuple(row.name for row in rows_of(kind) if row.needs_reason)


def is_of_sound(kind: str, name: str) -> bool:
    """Whether the sound may be another when this field is. A whole part (an empty name) is of
    the sound where any of its fields is; a field or kind that is not known counts as of it."""
    # Rather a difference too many than one that a signature does not notice.
    if kind not in _ROWS:
        return True
    if not name:
        return any(row.of_sound for row in _ROWS[kind])
    row = find(kind, name)
    return row is None or row.of_sound
