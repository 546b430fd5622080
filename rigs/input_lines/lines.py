"""Inputs written one a line: channel and name, microphone or DI, then where it stands. Pure.

    1 Kick in, Flat 91, 20 cm, aimed at beater side
    2 Snare top, D57, Snare, hpf 90, gain 34
    9 Bass DI, box, box A9
    10 Overhead, Pencil 4, the kit; Piano

The first cell is the channel and the name, the second the microphone or DI: by its name, or by a
beginning that only one has. Of the others, one that begins with a heading of the input list
(“gain 34”) says that, a length is the distance (“20 cm from the rim” with its point), degrees are
the angle, the name of a unit or of a group of units is where the sound comes from (several in one
cell, “Kick; the brass”, or in a cell each), and other words say what it is aimed at. Where no
source is said, a unit that is named in the input's own name is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from core.languages.typed import COMMAS, typed_as
from core.languages.words import in_every_language, one_of
from rigs.fields import ValueKind
from rigs.lists.columns import COLUMNS, SOURCES, Fields, SheetColumn
from rigs.picked_up import BETWEEN, names_in

MAX_LINES = 60
_NAME = 80
# What the first two cells say; whose input it is, the rig says.
_SAID_BEFORE = ("number", "name", "device", "player")
_CHANNEL = re.compile(r"#?(\d{1,4})(?:\s*[.):]\s*|\s+|$)")
_FROM = re.compile(r"(\d.*?)\s+(?:from|off)\s+(?:the\s+)?(\S.*)", re.IGNORECASE)
_AWAY = typed_as(pgettext_lazy("typed between a distance and its point", "from|off"))
_DEGREES = re.compile(r"([-−+]?\d+(?:\.\d+)?)\s*(?:°|deg)", re.IGNORECASE)


class Named(NamedTuple):
    """Something that a line can name: a unit of the rig, a group of units, the rig of another
    player, or a microphone or DI.

    `names` are all that it is called, the whole name first.
    """

    id: str
    names: tuple[str, ...]
    needs_phantom: bool = False
    kind: str = "unit"  # or group, or player, of what can be picked up


@dataclass(frozen=True, slots=True)
class InputDraft:
    """An input to be added. `fields` are those of the part but for its device and its sources:
    `unit` is its own, `also` is what it picks up beside that."""

    name: str
    number: int | None = None
    device: Named | None = None
    unit: Named | None = None
    also: tuple[Named, ...] = ()
    fields: Fields = field(default_factory=dict)

    @property
    def label(self) -> str:
        return self.name if self.number is None else f"{self.number} {self.name}"


def read_line(line: str, sources: Sequence[Named], devices: Sequence[Named]) -> InputDraft:
    """`sources` are the units and groups of the rig, and the rigs of other players.

    Raises ValueError in words for a form.
    """
    first, *cells = [" ".join(cell.split()) for cell in re.split(f"[{COMMAS}\t]", line)]
    number, name = _number_and_name(first)
    if not name and cells:  # a row of a table, the channel in a cell of its own
        name, *cells = cells
    if not name:
        raise ValueError(_("It begins with the input’s name, or its channel and name."))
    if len(name) > _NAME:
        raise ValueError(_("A name has at most {name} characters.").format(name=_NAME))
    device = _device(cells[0], devices) if cells and cells[0] else None
    said, fields = _rest(cells[1:], sources)
    if device is not None and device.needs_phantom:
        fields.setdefault("phantom", True)
    units = [each for each in sources if each.kind == "unit"]
    unit = next((each for each in said if each.kind == "unit"), None)
    also = tuple(each for each in said if each is not unit)
    return InputDraft(name, number, device, unit if said else unit_in(name, units), also, fields)


def _number_and_name(cell: str) -> tuple[int | None, str]:
    found = _CHANNEL.match(cell)
    return (int(found[1]), cell[found.end() :].strip()) if found else (None, cell)


def _device(text: str, devices: Sequence[Named]) -> Named:
    found = list(_meant(text, devices))
    if len(found) > 1:
        raise ValueError(
            _("“{text}” can be {found}.").format(
                text=text, found=one_of(each.names[0] for each in found)
            )
        )
    if not found:
        raise ValueError(
            _("No microphone or DI called “{text}” is in the list: add it there first.").format(
                text=text
            )
        )
    return found[0]


def _meant(text: str, among: Iterable[Named]) -> Iterator[Named]:
    """What is called so; else what begins so; else what has a word that does, by any name.

    The last is for a device of a list, whose maker may stand in its name.
    """
    among, said = list(among), text.casefold()
    for is_meant in (str.__eq__, str.startswith, _has_word):
        found = [
            each for each in among if any(is_meant(name.casefold(), said) for name in each.names)
        ]
        if found:
            yield from found
            return


def _has_word(name: str, said: str) -> bool:
    return f" {said}" in f" {name}"


def unit_in(name: str, units: Sequence[Named]) -> Named | None:
    """The unit that is named in `name`, the longest; None where several could be meant."""
    held = [each for each in units if f" {each.names[0]} ".casefold() in f" {name} ".casefold()]
    longest = max((len(each.names[0]) for each in held), default=0)
    best = [each for each in held if len(each.names[0]) == longest]
    return best[0] if len(best) == 1 else None


def _rest(cells: Iterable[str], sources: Sequence[Named]) -> tuple[list[Named], Fields]:
    """What the input picks up, each once, and its other fields."""
    known: dict[str, Named] = {}
    for each in sources:
        for name in each.names:
            known.setdefault(name.casefold(), each)
    said: dict[str, Named] = {}
    fields: Fields = {}
    for cell in cells:
        if not cell:
            continue
        if named := _sources(cell, known):
            said |= {each.id: each for each in named}
            continue
        read = _cell(cell)
        if twice := sorted(read.keys() & fields.keys()):
            raise ValueError(
                _("“{cell}” says a second time what is said before ({twice}).").format(
                    cell=cell, twice=twice[0]
                )
            )
        fields |= read
    return list(said.values()), fields


def _sources(cell: str, known: Mapping[str, Named]) -> list[Named]:
    """The units and groups that a cell names; empty for a cell that is about something else.

    Raises ValueError, in words for a form, where some of them are not there.
    """
    headed = _headed(cell)
    if headed and headed[0] is SOURCES:
        return names_in(headed[1], known)
    try:
        return names_in(cell, known)
    except ValueError:
        # “the kit; Piqno” is about sources, “at the shell; low” is not.
        if any(piece.strip().casefold() in known for piece in cell.split(BETWEEN)):
            raise
    return []


def _cell(cell: str) -> Fields:
    """What one cell says. Raises ValueError for a value that its heading cannot have."""
    if headed := _headed(cell):
        column, value = headed
        return column.read(value)
    if degrees := _DEGREES.fullmatch(cell):
        return _BY_KEY["angle_deg"].read(degrees[1])
    if from_point := _FROM.fullmatch(cell) or _away().fullmatch(cell):
        point = _BY_KEY["reference_point"].read(from_point[2])
        return _BY_KEY["distance"].read(from_point[1]) | point
    if cell[0].isdigit():  # one that is no length is told, and not taken as words
        return _BY_KEY["distance"].read(cell)
    return _BY_KEY["aimed_at"].read(cell)


_BY_KEY = {column.key: column for column in COLUMNS if column.key not in _SAID_BEFORE}


@cache
def _away() -> re.Pattern[str]:
    """A distance and its point, with the words of the other languages between them."""
    return re.compile(rf"(\d.*?)\s+{_AWAY.apart}\s+(\S.*)", re.IGNORECASE)


@cache
def _leads() -> list[tuple[str, SheetColumn]]:
    """The words that a cell may begin with, the longest first."""
    leads: dict[str, SheetColumn] = {}
    for column in _BY_KEY.values():
        heading = column.heading.casefold().partition(",")[0]
        for word in (heading, *column.names):
            leads.setdefault(word, column)
    for column in _BY_KEY.values():
        for words in sorted(in_every_language(column.heading)):
            leads.setdefault(words.casefold().partition(",")[0], column)
    return sorted(leads.items(), key=lambda each: -len(each[0]))


def _headed(cell: str) -> tuple[SheetColumn, str] | None:
    """The heading a cell begins with, and the value behind it; “48v” alone says yes."""
    folded = cell.casefold()
    for word, column in _leads():
        if folded == word and column.field and column.field.kind is ValueKind.YES_NO:
            return column, "yes"
        if re.match(rf"{re.escape(word)}[\s:]", folded):
            return column, cell[len(word) :].lstrip(" :")
    return None
