"""Lists on paper: the input list and the pack list, of all shows or of one.

On the input list what belongs together shares a column, so that a line fits the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

from django.utils.translation import gettext as _

from core import clock
from core.models import Production
from rigs.cautions import LIFTING, MAINS, RIBBON, in_words
from rigs.lists.columns import SOURCES
from rigs.lists.groups import GROUPS, ColumnGroup
from rigs.lists.input_list import DayInput, differs_from
from rigs.lists.pack import COUNTED_IN, SECTIONS, Pack
from rigs.lists.pack import as_rows as pack_rows
from rigs.lists.pack_of_show import DaySection
from rigs.lists.pack_of_show import as_rows as day_rows
from rigs.lists.state import ListState
from rigs.models import Input
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import code_of, printed_at
from rigs.revisions.sources import heard_of


def stamp_of(state: ListState) -> str:
    """The number of changes, the digest's first characters, when the newest was made."""
    made = f" · {printed_at(state.at)}" if state.at else ""
    return f"{state.described}{made}"


def grid_sheet(
    title: str,
    production: Production,
    rows: Sequence[Sequence[str]],
    *,
    paper: Paper,
    state: ListState,
    address: str,
    cautions: Sequence[str] = (),
    captions: Sequence[str] = (),
) -> bytes:
    """A list with headings in its first row, such as the input list. Empty columns are left out.

    A list of many columns is printed across the long side. `address` is the live page, `captions`
    stand above the list.
    """
    used = [i for i in range(len(rows[0])) if any(row[i] for row in rows[1:])]
    # A list without rows still needs headings, or the sheet would be blank.
    used = used or list(range(min(3, len(rows[0]))))
    cut = [[row[i] for i in used] for row in rows]
    section = {"heading": "", "columns": _widths(cut), "head": cut[0], "rows": cut[1:]}
    sheet = sheet_data(title, production, [section], cautions, paper, state)
    return pressed(sheet | {"wide": len(used) > 5, "captions": list(captions)}, address)


def pack_sheet(
    pack: Pack, production: Production, *, paper: Paper, state: ListState, address: str
) -> bytes:
    """The pack list, a table for each kind of thing."""
    sections = []
    rows = pack_rows(pack)[1:]
    for key, heading in SECTIONS:
        lines = [row[1:] for row in rows if row[0] == str(heading)]
        if lines:
            head = [_("What"), COUNTED_IN.get(key, _("Count")), "lb", _("For"), _("Serial numbers")]
            cut, widths = _filled(head, lines, [6, 2, 2, 6, 4])
            sections.append(
                {"heading": str(heading), "columns": widths, "head": cut[0], "rows": cut[1:]}
            )
    totals = [
        _("Mains power all together: {total_power_w} W as documented.").format(
            total_power_w=pack.total_power_w
        )
    ] * bool(pack.power)
    if pack.cases:
        totals.append(
            _("Cases all together: {kg} kg ({lb} lb) as documented.").format(
                kg=pack.total_weight_kg, lb=pack.total_weight_lb
            )
        )
    cautions = [each.text for each, there in ((MAINS, pack.power), (LIFTING, pack.cases)) if there]
    sheet = sheet_data(_("Pack list"), production, sections, cautions, paper, state)
    return pressed(sheet | {"lines": [*totals, *pack.unknown]}, address)


def _filled(
    head: list[str], lines: list[list[str]], widths: list[int]
) -> tuple[list[list[str]], list[int]]:
    """Headings and lines without the columns, from the third on, in which nothing stands."""
    used = [i for i in range(len(head)) if i < 2 or any(line[i] for line in lines)]
    return [[row[i] for i in used] for row in (head, *lines)], [widths[i] for i in used]


def day_pack_sheet(
    sections: Sequence[DaySection],
    title: str,
    production: Production,
    *,
    paper: Paper,
    state: ListState,
    address: str,
    captions: Sequence[str] = (),
) -> bytes:
    """The pack list of one show, a table for each kind of thing. What is hired has its columns only
    where something is."""
    rows = day_rows(sections)
    used = [0, *(i for i in range(1, len(rows[0]) - 1) if any(row[i + 1] for row in rows[1:]))]
    cut = [[row[i + 1] for i in used] for row in rows]
    left, widths = iter(cut[1:]), _widths(cut)
    tables = [
        {
            "heading": str(section.heading),
            "columns": widths,
            "head": cut[0],
            "rows": list(islice(left, len(section.lines))),
        }
        for section in sections
        if section.lines
    ]
    sheet = sheet_data(title, production, tables, (), paper, state)
    return pressed(sheet | {"wide": len(used) > 5, "captions": list(captions)}, address)


def sheet_data(
    title: str,
    production: Production,
    sections: list[Any],
    cautions: Sequence[str],
    paper: Paper,
    state: ListState,
) -> dict[str, Any]:
    """What typ/grid.typ sets: a table for each section, with its heading, columns and rows."""
    return {
        "title": title,
        "paper": paper,
        "wide": False,
        "stamp": stamp_of(state),
        "place": _("{production}, printed {at}").format(
            production=production, at=printed_at(clock.now())
        ),
        "sections": sections,
        "lines": [],
        "cautions": list(cautions),
    }


def pressed(
    data: dict[str, Any], address: str, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """The PDF of `sheet_data`, whose square opens `address`, without one where that is empty;
    `pictures` are those it names."""
    live, code = code_of(address)
    return press("grid.typ", data | live, pictures={**code, **(pictures or {})})


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    """Column widths in parts, by the longest word and the usual length of what they hold."""
    widths = []
    for column in zip(*rows, strict=True):
        filled = [len(cell) for cell in column[1:] if cell] or [0]
        # The mean length, rounded up: one long cell must not widen its column for all.
        usual = -(-sum(filled) // len(filled))
        # Headings are bold, and need air to the next.
        head = max(len(word) for word in column[0].split() or [""]) + 2
        longest = max(head, *(len(word) for cell in column for word in cell.split()))
        # One endless word must not take the page: it is broken (typ/sheet.typ).
        widths.append(max(5, min(24, longest), min(30, usual)))
    return widths


def cautions_of(inputs: Sequence[Input]) -> list[str]:
    """What to mind about the microphones of a list, each with its channels."""
    ribbons = [entry for entry in inputs if entry.device and entry.device.principle == "ribbon"]
    if not ribbons:
        return []
    return in_words([(RIBBON.text, [str(entry) for entry in ribbons])])


_OF_A_DAY = [group for group in GROUPS if group.varies or group.names_input]


def paper_rows(inputs: Sequence[Input]) -> list[list[str]]:
    """The list of all shows, with where each microphone stands."""
    return [_headings(GROUPS), *(_cells(GROUPS, entry) for entry in inputs)]


def day_paper_rows(rows: Sequence[DayInput]) -> list[list[str]]:
    """The list of one show, of what may differ there and of several sources; the last column says
    in words what does, and why."""
    return [
        [*_headings(_OF_A_DAY), _(SOURCES.heading), _("This show")],
        *([*_cells(_OF_A_DAY, row.entry), _sources(row), _that_day(row)] for row in rows),
    ]


def _sources(row: DayInput) -> str:
    """What an input picks up where that is not one unit, as on the page."""
    heard = heard_of(row.listed)
    return "" if heard.is_plain else heard.words


def _headings(groups: Iterable[ColumnGroup]) -> list[str]:
    return [group.heading for group in groups]


def _cells(groups: Iterable[ColumnGroup], entry: Input) -> list[str]:
    return [group.text(entry) for group in groups]


def _that_day(row: DayInput) -> str:
    parts = (row.dep, differs_words(row, also=row.unit_tonight))
    return ". ".join(part for part in parts if part)


def differs_words(row: DayInput, *, also: str = "") -> str:
    """What of an input is other at the show, and why; `also` stands before the reason."""
    if row.difference is None:
        return also
    differences = [differs_from(each) for each in row.differs]
    lines = [
        _("NOT USED") if row.absent else "",
        _("hired locally") if row.hired_locally else "",
        *differences,
        also,
    ]
    return ". ".join(part for part in (*lines, row.why) if part)
