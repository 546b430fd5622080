"""The pack list of one show: how much of each line is hired there, what is brought. Pure."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import each_of
from rigs.lists.cases import Count, with_kind
from rigs.lists.input_list import DayInput
from rigs.lists.pack import SECTIONS, Pack
from rigs.models import ShowHire

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# What is in watts or kilograms is not counted out of a truck.
COUNTED = [(key, heading) for key, heading in SECTIONS if key in ShowHire.HireSection.values]


class Came(NamedTuple):
    """What plays at a show in the place of a unit: `instead` is make and model of that one."""

    what: str
    kind: str
    from_whom: str
    player: str
    instead: str


@dataclass(frozen=True, slots=True)
class DayCount:
    """One line. `count` is 0 for what is hired and the pack list does not have.

    Of those hired, `by_input` are noted at inputs of that day, the rest in `hire`. `came` are those
    that play in the place of units of ours, `replaced` of these units those that stay away.
    """

    what: str
    count: int
    where: str
    by_input: int = 0
    hire: ShowHire | None = None
    kind: str = ""
    came: int = 0
    replaced: int = 0
    about: str = ""
    owned: str = ""
    serials: str = ""

    @property
    def in_full(self) -> str:
        return with_kind(self.what, self.kind, self.owned)

    @property
    def hired(self) -> int:
        return self.by_input + max(self.came, self.hire.count if self.hire else 0)

    @property
    def to_load(self) -> int:
        """What still goes on the truck; never below none."""
        return max(0, self.count - self.hired - self.replaced)

    @property
    def differs(self) -> bool:
        """Whether the show says something of it."""
        return bool(self.hired or self.about)

    @property
    def too_many(self) -> bool:
        """More is hired than the list has: a spare, or a slip."""
        return self.hired > self.count

    @property
    def remarks(self) -> str:
        if self.hire is None:
            return self.about
        whom = (
            _("From {from_whom}.").format(from_whom=self.hire.from_whom)
            if self.hire.from_whom
            else ""
        )
        return " ".join(part for part in (self.about or whom, self.hire.words) if part)


class DaySection(NamedTuple):
    key: str
    heading: StrOrPromise
    lines: list[DayCount]


def day_pack(
    pack: Pack,
    rows: Sequence[DayInput],
    hires: Iterable[ShowHire],
    came: Sequence[Came] = (),
) -> list[DaySection]:
    """`pack` counted over that day's inputs, with what of it is hired, and what came in the place
    of units. Every hire has a line."""
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
                owned=line.owned,
                serials=line.serials,
            )
            for line in _lines(pack, key)
        ]
        if key == ShowHire.HireSection.UNITS:
            lines = [*_replaced(lines, came), *_came(came, hired)]
        sections.append(DaySection(key, heading, lines))
    return _with_the_rest(sections, hired.values())


def _replaced(lines: Sequence[DayCount], came: Sequence[Came]) -> Iterable[DayCount]:
    """The lines of our units; of those that something plays for, that they stay away."""
    for line in lines:
        instead = [each.what for each in came if each.instead == line.what]
        names = each_of(dict.fromkeys(instead))
        about = _("{names} instead.").format(names=names) if names else ""
        yield replace(line, replaced=len(instead), about=about)


def _came(came: Sequence[Came], hired: dict[tuple[str, str], ShowHire]) -> Iterable[DayCount]:
    """A line for each model that came; one that is noted as hired, too, is the same."""
    by_model: dict[tuple[str, str], list[Came]] = defaultdict(list)
    for each in came:
        by_model[(each.what, each.from_whom)].append(each)
    for (what, whom), own in by_model.items():
        instead = each_of(dict.fromkeys(each.instead for each in own))
        said = _("Instead of {names}. From {whom}.") if whom else _("Instead of {names}.")
        about = said.format(names=instead, whom=whom)
        yield DayCount(
            what,
            len(own),
            each_of(dict.fromkeys(each.player for each in own)),
            hire=hired.pop((ShowHire.HireSection.UNITS.value, what), None),
            kind=own[0].kind,
            # What nobody is named for may be a spare of ours, which travels.
            came=len(own) if whom else 0,
            about=about,
        )


def _lines(pack: Pack, key: str) -> list[Count]:
    lines: list[Count] = getattr(pack, key)
    return lines


def _with_the_rest(sections: list[DaySection], rest: Iterable[ShowHire]) -> list[DaySection]:
    """What is hired beyond the pack list comes last in its section."""
    extra: dict[str, list[DayCount]] = defaultdict(list)
    for hire in rest:
        extra[hire.section].append(DayCount(hire.what, 0, "", hire=hire))
    return [section._replace(lines=section.lines + extra[section.key]) for section in sections]


HEADINGS = [
    gettext_lazy("Section"),
    gettext_lazy("What"),
    gettext_lazy("Count"),
    gettext_lazy("Hired locally"),
    gettext_lazy("To bring"),
    gettext_lazy("For"),
    gettext_lazy("About the hire"),
    gettext_lazy("Serial numbers"),
]


def as_rows(sections: Iterable[DaySection]) -> list[list[str]]:
    """The counts as a grid, headings first."""
    rows = [[str(heading) for heading in HEADINGS]]
    for section in sections:
        for line in section.lines:
            counts = [str(line.count), str(line.hired or ""), str(line.to_load)]
            words = [line.where, line.remarks, line.serials]
            rows.append([str(section.heading), line.in_full, *counts, *words])
    return rows
