"""Which row of a list is what: an input, a title for those below, a spare line, a word aside. Pure.

Crews write lists for people: “DRUMS” above the drums, a line about talkback below them, a channel
that is left free. Whatever is no input is named with its reason: no row goes without a word.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto

from django.utils.translation import gettext_noop

from rigs.list_import.several import channels
from rigs.lists.columns import DASHES, with_unit

Mended = Mapping[str, Mapping[str, str]]  # row (as text) → column key → what it should say

DITTO = frozenset({'"', "''", "”", "“", "″", "〃", "ditto", "do.", "as above", "same as above"})
_SPARE = frozenset({"spare", "free", "empty", "unused", "not used", "n/c", "nc", "-", "–", "—"})
_WORD = re.compile(r"[^\W\d_]{3,}(?: [^\W\d_]+)*:?")
_TOTAL = re.compile(r"(?:sub-?)?total\b|sum\b", re.IGNORECASE)

ALONE = gettext_noop("words that stand alone")
CHANNEL_ALONE = gettext_noop("a channel with nothing on it")
SPARE = gettext_noop("a spare line")
TOTAL = gettext_noop("a total")
AGAIN = gettext_noop("the headings again")
NO_CHANNEL = gettext_noop("words where the channels are")
NOT_IN_USE = gettext_noop("nothing in a column that is used")


class Kind(Enum):
    INPUT = auto()
    GROUP = auto()  # names what the rows below it belong to
    ASIDE = auto()  # no input; `why` says what it is


@dataclass(frozen=True, slots=True)
class Line:
    """One row that is not blank. `raw` is by index of the column, `cells` by key, with the unit of
    the heading, dittos resolved and mended cells as they were mended."""

    number: int  # of the row in the file
    kind: Kind
    raw: Mapping[int, str]
    cells: Mapping[str, str]
    why: str = ""

    @property
    def title(self) -> str:
        """The words of a row that has nothing else."""
        return next((word for word in self.raw.values() if word.casefold() not in DASHES), "")

    @property
    def text(self) -> str:
        return " · ".join(self.raw.values())


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a list and what is known of its columns. `mapping` is index → key.

    `own`: a list that this service wrote is read by the letter.
    """

    rows: Sequence[Sequence[str]]
    first_row: int
    headings: Sequence[str]
    mapping: Mapping[int, str]
    mended: Mended
    own: bool = False

    def lines(self, is_known: Callable[[str], bool]) -> list[Line]:
        """`is_known` tells whether a text names a player or a rig."""
        lines = list(self._filled())
        kinds = [self._kind(line, is_known) for line in lines]
        for at, (kind, _) in enumerate(kinds):
            if kind is Kind.GROUP and not self._heads(at, kinds, lines, is_known):
                kinds[at] = Kind.ASIDE, ALONE
        return [
            Line(line.number, kind, line.raw, line.cells, why)
            for line, (kind, why) in zip(lines, kinds, strict=True)
        ]

    def _filled(self) -> Iterator[Line]:
        above: dict[str, str] = {}
        signed = self._has_signs()
        for number, row in enumerate(self.rows, start=self.first_row):
            raw = {index: cell for index, cell in enumerate(row) if cell}
            if not raw:
                continue
            cells = {
                key: with_unit(key, raw[index], self.headings[index])
                for index, key in self.mapping.items()
                if index in raw
            }
            if not self.own:
                if signed and cells.get("reversed_polarity", "") in DASHES:
                    cells["reversed_polarity"] = "reversed"
                cells = {key: self._same(key, cell, above) for key, cell in cells.items()}
            cells |= self.mended.get(str(number), {})
            above = cells if len(raw) > 1 else above
            yield Line(number, Kind.INPUT, raw, cells)

    def _has_signs(self) -> bool:
        """Whether polarity is written + and –, where a dash is no “nothing”."""
        at = [index for index, key in self.mapping.items() if key == "reversed_polarity"]
        return any(row[i] == "+" for i in at for row in self.rows if i < len(row))

    @staticmethod
    def _same(key: str, cell: str, above: Mapping[str, str]) -> str:
        """What a ditto mark stands for; the mark itself where nothing is above it."""
        return above.get(key, cell) if cell.casefold() in DITTO else cell

    def _kind(self, line: Line, is_known: Callable[[str], bool]) -> tuple[Kind, str]:
        raw, cells = line.raw, line.cells
        words = list(raw.values())
        filled = [word for word in words if word.casefold() not in DASHES]
        if str(line.number) in self.mended:
            return Kind.INPUT, ""
        if len(filled) == 1 and not self.own:
            return self._alone(filled[0], cells)
        if self.own:
            return Kind.INPUT, ""
        if _TOTAL.match(words[0]):
            return Kind.ASIDE, TOTAL
        if words == [self.headings[i] for i in raw if i < len(self.headings)]:
            return Kind.ASIDE, AGAIN
        if not cells:
            return Kind.ASIDE, NOT_IN_USE
        if _WORD.fullmatch(cells.get("number", "")) and "device" not in cells:
            return Kind.ASIDE, NO_CHANNEL
        if cells.get("name", "").casefold().strip(" .()") in _SPARE and "device" not in cells:
            return Kind.ASIDE, SPARE
        return Kind.INPUT, ""

    def _alone(self, word: str, cells: Mapping[str, str]) -> tuple[Kind, str]:
        if "number" in cells and channels(word):
            return Kind.ASIDE, CHANNEL_ALONE
        if "name" in cells and "number" not in self.mapping.values():
            return Kind.INPUT, ""
        return Kind.GROUP, ""

    @staticmethod
    def _heads(
        at: int,
        kinds: Sequence[tuple[Kind, str]],
        lines: Sequence[Line],
        is_known: Callable[[str], bool],
    ) -> bool:
        """Whether the rows below a title are its own: inputs follow at once."""
        follows = kinds[at + 1][0] if at + 1 < len(kinds) else None
        return follows is Kind.INPUT or is_known(lines[at].title)
