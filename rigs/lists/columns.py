"""Columns of the input list: our headings, headings in other people’s files, how cells are read.

It also guesses which column a heading in a file means, and in which unit. No queries.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from core.languages.typed import ON_OR_OFF, Typed, narrow
from core.languages.words import in_every_language
from core.units import Length, parse_length, plain, plain_length
from rigs.fields import ListColumn, PartField, ValueKind, listed_of
from rigs.models import Input
from rigs.picked_up import BETWEEN
from rigs.revisions.sources import heard_of

# What a cell means: nothing said, or a value for one or more fields of an input.
Fields = dict[str, Any]
Reader = Callable[[str], Fields]

# Without spaces, dots and exclamation marks: crews write NO!! where a mistake breaks something.
_YES = {
    *("yes", "y", "x", "on", "true", "1", "48", "48v", "+48", "+48v", "+", "ja", "oui", "sí", "si"),
    *("✓", "✔", "☑", "please", "needed", "required", "yesplease", "phantom", "phantomplease"),
}
_NO = {
    *(
        "no",
        "n",
        "off",
        "false",
        "0",
        "-",
        "–",
        "—",
        "nein",
        "non",
        "not",
        "never",
        "donot",
        "none",
    ),
    *("don't", "don’t", "dont", "✗", "✘", "☐", "nothanks", ""),
}
# Of one field alone: what its yes and no are called besides.
_YES_OF = {
    "reversed_polarity": {"ø", "inv", "inverted", "rev", "reversed", "flip", "flipped", "180"}
}
_NO_OF = {"reversed_polarity": {"norm", "normal", "+", "ok"}}

_OFF = _NO | {"flat", "out", "aus"}
# What stands in a cell that is as good as empty.
DASHES = frozenset({"-", "–", "—", "n/a", "na", "./."})


class SheetColumn(NamedTuple):
    """`key` is what the column is called in a mapping; `names` are other headings, tidied.

    `field` is the row of the input's field that it shows, if it shows one. `dash_is_no`: a dash
    says no here, where elsewhere it says nothing.
    """

    key: str
    heading: str
    names: tuple[str, ...]
    read: Reader
    field: PartField | None = None
    dash_is_no: bool = False

    @property
    def stored(self) -> tuple[str, ...]:
        """The fields that a cell says something of."""
        return self.field.stored if self.field else (self.key,)


def text(key: str) -> Reader:
    return lambda cell: {key: cell}


def yes_no(key: str, off_on: tuple[str, str] = ("", "")) -> Reader:
    """`off_on` are the words of the field for no and yes, which are read in each language."""

    def read(cell: str) -> Fields:
        for said, word in enumerate(off_on):
            if word and cell.strip().casefold() in map(str.casefold, in_every_language(word)):
                return {key: bool(said)}
        text = re.sub(r"[\s.!°]+", "", cell.casefold())
        if text in _NO_OF.get(key, ()):
            return {key: False}
        if text in _YES or text in _YES_OF.get(key, ()):
            return {key: True}
        if text in _NO:
            return {key: False}
        if (answer := ON_OR_OFF.get(cell.strip(" .!°"))) is not None:
            return {key: answer}
        raise ValueError(_("“{cell}” is neither yes nor no.").format(cell=cell))

    return read


def number(key: str, what: str, units: tuple[str, ...] = ()) -> Reader:
    def read(cell: str) -> Fields:
        text = narrow(cell).casefold().replace("−", "-").replace(",", ".").replace(" ", "")
        for unit in units:
            text = text.removesuffix(unit)
        factor = Decimal(1)
        # “1.2k” and, its unit taken off above, “1.2 kHz” are both 1200 Hz.
        if "hz" in units and text.endswith("k"):
            text, factor = text[:-1], Decimal(1000)
        try:
            value = Decimal(text) * factor
        except InvalidOperation:
            raise ValueError(_("“{cell}” is not {what}.").format(cell=cell, what=_(what))) from None
        if not value.is_finite():
            raise ValueError(_("“{cell}” is not {what}.").format(cell=cell, what=_(what)))
        return {key: plain(value)}

    return read


def number_or_off(row: PartField, column: ListColumn) -> Reader:
    """“off”, “no” and 0 mean none. What takes away is written as 20, -20 or −20 dB."""
    read = number(row.name, column.noun, _written(row.symbol))

    def read_or_off(cell: str) -> Fields:
        if cell.casefold() in _OFF or ON_OR_OFF.get(cell) is False:
            return {row.name: None}
        value = Decimal(read(cell)[row.name])
        return {row.name: plain(-abs(value) if column.takes_away else value)}

    return read_or_off


def _written(symbol: str) -> tuple[str, ...]:
    """How the unit of a number is written after it, in lower case."""
    return ("°", "deg") if symbol == "°" else (symbol.casefold(),)


def whole(key: str, name: str) -> Reader:
    def read(cell: str) -> Fields:
        # A spreadsheet may have made 12.0 of channel 12.
        text = cell.strip().lstrip("#").removesuffix(".0")
        if not text.isdigit():
            raise ValueError(_("“{cell}” is not {what}.").format(cell=cell, what=_(name)))
        return {key: int(text)}

    return read


def pan(key: str) -> Reader:
    return lambda cell: {key: _read_pan(cell)}


def _read_pan(cell: str) -> int:
    """C, L, R, L50, 50 R, 50 house left, -50: to −100 … 100."""
    text = cell.casefold().replace("house", "").replace(" ", "").replace("−", "-").removesuffix("%")
    if text in ("c", "centre", "center", "mid", "0"):
        return 0
    match = re.fullmatch(r"(?:(l|left|r|right)(\d{0,3})|(\d{1,3})(l|left|r|right))", text)
    if match:
        side, amount = match[1] or match[4], int(match[2] or match[3] or 100)
        text = str(-amount if side.startswith("l") else amount)
    elif side := _SIDES.get(re.sub(r"[\d%()]+", " ", narrow(cell))):
        found = re.search(r"\d{1,3}", text)
        text = str(int(found[0] if found else 100) * side) if side in (-1, 1) else "0"
    if not re.fullmatch(r"-?\d{1,3}", text) or abs(int(text)) > 100:
        raise ValueError(
            _("“{cell}” is not a pan position. Write L50, C or R30.").format(cell=cell)
        )
    return int(text)


# House left and right, as heard from the audience; 2 is the centre.
_SIDES: Typed[int] = Typed(
    [
        (gettext_lazy("left|house left|l"), -1),
        (gettext_lazy("right|house right|r"), 1),
        (gettext_lazy("centre|center|mid|c"), 2),
    ]
)


_BOTH = re.compile(r"(?<=\w)\s*\([^()]*\)\s*$")


def length(name: str) -> Reader:
    def read(cell: str) -> Fields:
        # As pages show it, “35 mm (1.4 in)”: the second is the first in the other system.
        parsed: Length = parse_length(_BOTH.sub("", narrow(cell)))
        return {f"{name}_m": plain(parsed.metres), f"{name}_unit": parsed.unit}

    return read


def _reader(row: PartField, column: ListColumn) -> Reader:
    if row.kind is ValueKind.NUMBER and column.off:
        return number_or_off(row, column)
    if row.kind is ValueKind.NUMBER:
        return number(row.name, column.noun, _written(row.symbol))
    if row.kind is ValueKind.WHOLE:
        return whole(row.name, column.noun)
    if row.kind is ValueKind.YES_NO:
        return yes_no(row.key, row.off_on)
    readers = {ValueKind.LENGTH: length, ValueKind.PAN: pan}
    return readers.get(row.kind, text)(row.key)


def _column(row: PartField, column: ListColumn) -> SheetColumn:
    dash_is_no = column.off or row.kind is ValueKind.YES_NO
    return SheetColumn(row.key, column.heading, column.names, _reader(row, column), row, dash_is_no)


_PLAYER = SheetColumn(
    "player",
    gettext_noop("Player"),
    ("musician", "who", "instrument", "group", "rig", "musiker", "wer", "musicien"),
    text("player"),
)
# What an input picks up: its own unit, further units and groups, by their names (rigs.picked_up).
SOURCES = SheetColumn(
    "sources",
    gettext_noop("Picks up"),
    ("pickup", "picksup", "takesitssoundfrom", "hears"),
    text("sources"),
)
# Their place in the order of the list, among those of the fields.
_PLAYER_ORDER, _SOURCES_ORDER = 30, 135


def _in_order() -> Iterator[SheetColumn]:
    columns = [(r.column.order, _column(r, r.column)) for r in listed_of(Input.KIND) if r.column]
    columns += [(_PLAYER_ORDER, _PLAYER), (_SOURCES_ORDER, SOURCES)]
    for _order, column in sorted(columns, key=lambda pair: pair[0]):
        yield column


COLUMNS: tuple[SheetColumn, ...] = tuple(_in_order())
BY_KEY = {column.key: column for column in COLUMNS}


def show(key: str, entry: Input) -> str:
    """The cell for an input: the text that the column's reader reads back to the same value."""
    row = BY_KEY[key].field
    if key == SOURCES.key:
        return show_sources(entry)
    if row is None:
        return str(entry.rig.player.name)
    value = getattr(entry, row.name)
    if row.kind is ValueKind.YES_NO:
        return "yes" if value else "no"
    if row.kind is ValueKind.PAN:
        return "C" if value == 0 else f"{'L' if value < 0 else 'R'}{abs(value)}"
    if value is None:
        return ""
    if row.is_length:
        return plain_length(value, getattr(entry, row.unit_field))
    return plain(value) if isinstance(value, Decimal) else str(value)


def read_out(key: str, entry: Input) -> str:
    """The cell as a page says it: like `show`, yes and no in the language of the reader."""
    row = BY_KEY[key].field
    cell = show(key, entry)
    return _(cell) if row is not None and row.kind is ValueKind.YES_NO else cell


def show_sources(entry: Input) -> str:
    """“Kick; the brass”."""
    # A new input of an import has nothing yet.
    heard = None if entry._state.adding else heard_of(entry)
    return f"{BETWEEN} ".join(heard.chosen_names) if heard else ""


# After a comma or in brackets any unit; after a space only those that are no word of their own.
_UNIT = re.compile(
    r"(?:[(\[,/]\s*(?P<set>mm|cm|m|in|inch|inches|ft|feet|k?hz|db|°|deg)\s*[)\]]?"
    r"|\s(?P<said>mm|cm|ft|k?hz|db))\s*$"
)
_BARE = re.compile(r"\d[\d.,/ ]*")


def tidy_heading(heading: str) -> str:
    return re.sub(r"[^\w#ø]", "", heading.casefold()).replace("_", "")


def unit_of(heading: str) -> str:
    """“Dist. (cm)” → “cm”; empty where a heading says none."""
    match = _UNIT.search(heading.casefold())
    return (match["set"] or match["said"]) if match else ""


def guess(headings: Sequence[str], columns: Sequence[SheetColumn] = COLUMNS) -> dict[int, str]:
    """Which column each heading most likely is; each of ours at most once. Unknown are left out."""
    known: dict[str, str] = {}
    for column in columns:
        for name in (tidy_heading(column.heading), column.key.replace("_", ""), *column.names):
            # Where two columns claim one name, the earlier column of the list has it.
            known.setdefault(name, column.key)
    # Then as the pages call them in each language.
    for column in columns:
        for words in sorted(in_every_language(column.heading)):
            for name in (words, words.partition(",")[0], _UNIT.sub("", words)):
                known.setdefault(tidy_heading(name), column.key)
    tidy = [list(_spellings(heading)) for heading in headings]
    mapping: dict[int, str] = {}
    for index, spellings in enumerate(tidy):
        key = next((known[each] for each in spellings if each in known), None)
        if key is not None and key not in mapping.values():
            mapping[index] = key
    for index, spellings in enumerate(tidy):
        second = next((_SECOND[each] for each in spellings if each in _SECOND), None)
        if second is not None and second in known.values() and second not in mapping.values():
            _give(mapping, index, second, tidy, known)
    return mapping


# What a heading means where nothing else is that: “Ch, Instrument, Mic” has its names there.
_SECOND = {"instrument": "name", "inst": "name", "instr": "name", "input": "name", "line": "number"}


def _give(
    mapping: dict[int, str],
    index: int,
    key: str,
    tidy: Sequence[Sequence[str]],
    known: dict[str, str],
) -> None:
    """Make column `index` be `key`; what it was goes to another heading that means it."""
    freed = mapping.get(index)
    mapping[index] = key
    for other, spellings in enumerate(tidy):
        if freed and other not in mapping and freed in [known.get(each) for each in spellings]:
            mapping[other] = freed
            return


def _spellings(heading: str) -> Iterator[str]:
    """As it stands first: some headings, such as “HPF, Hz”, are known with their unit. Then without
    the unit, without what stands in brackets, the first of its lines, each side of a stroke."""
    text = heading.casefold()
    yield tidy_heading(text)
    yield tidy_heading(_UNIT.sub("", text))
    yield tidy_heading(re.sub(r"[(\[].*?[)\]]", "", text))
    yield tidy_heading(text.splitlines()[0] if text else "")
    yield from map(tidy_heading, text.split("/"))


def with_unit(key: str, cell: str, heading: str) -> str:
    """The cell with the unit of its heading: a bare number below “Dist. (cm)” is in centimetres.

    A unit in the cell itself takes precedence over that of the heading.
    """
    unit, row = unit_of(heading), BY_KEY[key].field if key in BY_KEY else None
    if not unit or row is None or not _BARE.fullmatch(cell):
        return cell
    if row.is_length and unit not in ("hz", "khz", "db", "°", "deg"):
        return f"{cell} {unit}"
    return f"{cell}k" if row.symbol == "Hz" and unit == "khz" else cell
