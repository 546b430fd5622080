"""The pack list of one show: how much of each line is hired there, what is brought. Pure."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rigs.lists.cases import Count, with_kind
from rigs.lists.input_list import DayInput
from rigs.lists.pack import SECTIONS, Pack
from rigs.models import ShowHire

# What is in watts or kilograms is not counted out of a truck.
COUNTED = [(key, heading) for key, heading in SECTIONS if key in ShowHire.HireSection.values]


@dataclass(frozen=True, slots=True)
class DayCount:
    """One line. `count` is 0 for what is hired and the pack list does not have.

    Of those hired, `by_input` are noted at inputs of that day, the rest in `hire`.
    """

    what: str
    count: int
    where: str
    by_input: int = 0
    hire: ShowHire | None = None
    kind: str = ""

    @property
    def in_full(self) -> str:
        return with_kind(self.what, self.kind)

    @property
    def hired(self) -> int:
        return self.by_input + (self.hire.count if self.hire else 0)

    @property
    def to_load(self) -> int:
        """What still goes on the truck; never below none."""
        return max(0, self.count - self.hired)

    @property
    def too_many(self) -> bool:
        """More is hired than the list has: a spare, or a slip."""
        return self.hired > self.count

    @property
    def remarks(self) -> str:
        if self.hire is None:
            return ""
        whom = f"From {self.hire.from_whom}." if self.hire.from_whom else ""
        return " ".join(part for part in (whom, self.hire.words) if part)


class DaySection(NamedTuple):
    key: str
    heading: str
    lines: list[DayCount]


def day_pack(pack: Pack, rows: Sequence[DayInput], hires: Iterable[ShowHire]) -> list[DaySection]:
    """`pack` counted over that day's inputs, with what of it is hired. Every hire has a line."""
    hired: dict[tuple[str, str], ShowHire] = {(hire.section, hire.what): hire for hire in hires}
    flagged = Counter(str(row.entry.device) for row in rows if row.hired_locally)
    sections = []
    for key, heading in COUNTED:
        lines = [
            DayCount(
                line.what,
                line.count or 0,
                line.where,
                flagged[line.what] if key == ShowHire.HireSection.DEVICES else 0,
                # Taken out, so that what remains are hires that no line of the pack list has.
                hired.pop((key, line.what), None),
                line.kind,
            )
            for line in _lines(pack, key)
        ]
        sections.append(DaySection(key, heading, lines))
    return _with_the_rest(sections, hired.values())


def _lines(pack: Pack, key: str) -> list[Count]:
    lines: list[Count] = getattr(pack, key)
    return lines


def _with_the_rest(sections: list[DaySection], rest: Iterable[ShowHire]) -> list[DaySection]:
    """What is hired beyond the pack list comes last in its section."""
    extra: dict[str, list[DayCount]] = defaultdict(list)
    for hire in rest:
        extra[hire.section].append(DayCount(hire.what, 0, "", hire=hire))
    return [section._replace(lines=section.lines + extra[section.key]) for section in sections]


HEADINGS = ["Section", "What", "Count", "Hired locally", "To bring", "For", "About the hire"]


def as_rows(sections: Iterable[DaySection]) -> list[list[str]]:
    """The counts as a grid, headings first."""
    rows = [HEADINGS]
    for section in sections:
        for line in section.lines:
            counts = [str(line.count), str(line.hired or ""), str(line.to_load)]
            rows.append([section.heading, line.in_full, *counts, line.where, line.remarks])
    return rows
