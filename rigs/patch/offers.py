"""Lines of a patch offered for what is written elsewhere: in the words “cable or stage box” of
inputs, or in a file. They are looked at before they are saved."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from functools import cache
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from core.languages.typed import narrow
from core.languages.words import in_each_language, in_every_language, leading, quoted
from rigs.lists.columns import whole
from rigs.lists.sheets import Grid, read
from rigs.patch.load import Patch
from rigs.patch.rows import SPARE, SPLIT, PatchRow
from rigs.patch.words import BoxName, read_place

# Headings in our own files and in other people’s, without spaces and marks.
_COLUMNS: dict[str, tuple[str, ...]] = {
    "channel": ("channel", "ch", "chan", "foh", "fohch", "fohchannel", "no", "nr", "#"),
    "name": ("input", "name", "source", "description", "label", "what"),
    "box": ("box", "stagebox", "subbox", "snake", "subsnake", "loom", "multi", "sub", "patch"),
    "way": ("way", "line", "boxway", "socket", "port", "boxch", "subch"),
    "monitor": ("monitor", "mon", "monch", "monitorch", "monitorchannel", "monchannel"),
    "phantom": ("phantomfrom", "48vfrom"),
    "split": ("split", "splitter"),
}
# Those of our own that are words of the pages, in each of their languages.
_OWN = {
    "channel": gettext_noop("Channel"),
    "name": gettext_noop("Input"),
    "box": gettext_noop("Box"),
    "way": gettext_noop("Way"),
    "monitor": gettext_noop("Monitor"),
    "phantom": gettext_noop("Phantom from"),
}


@cache
def _names(key: str) -> tuple[str, ...]:
    """What a column is called: in English first."""
    words = in_every_language(_OWN[key]) if key in _OWN else {*in_each_language(lambda: str(SPLIT))}
    own = (_tidy(word) for word in sorted(words))
    return tuple(dict.fromkeys([*_COLUMNS[key], *own]))


def _tidy(cell: str) -> str:
    return "".join(c for c in narrow(cell).casefold() if c.isalnum() or c == "#")


class Offered(NamedTuple):
    """Lines as one would type them, and what is left, in words."""

    lines: list[str]
    left: list[str]


def from_words(patch: Patch, rows: Sequence[PatchRow]) -> Offered:
    """For inputs without a way, and at a show for those whose words differ that day."""
    lines, left = [], []
    for row in rows:
        words = row.day.entry.stage_position.strip()
        differs = words != row.day.listed.stage_position.strip()
        if not words or (row.line.passed and not differs):
            continue
        try:
            place = read_place(words, patch.names)
        except ValueError as error:
            left.append(f"{leading(row.name, quoted(words))}. {error}")
            continue
        if place is None or place.first != place.last:
            left.append(
                _("{name}: “{words}” names no way of a box; it stays as it is.").format(
                    name=row.name, words=words
                )
            )
            continue
        if (who := _called(row, rows)) is None:
            left.append(
                _("{name}: neither its channel nor its name is its own.").format(name=row.name)
            )
            continue
        lines.append(f"{who} → {place.box.mark} {place.first}")
    return Offered(lines, left)


def _called(row: PatchRow, rows: Sequence[PatchRow]) -> str | None:
    """How a line can mean this input and no other."""
    channels = Counter(each.channel for each in rows)
    if row.channel and channels[row.channel] == 1:
        return row.channel
    names = Counter(each.name.casefold() for each in rows)
    return row.name if names[row.name.casefold()] == 1 and "," not in narrow(row.name) else None


def from_file(
    name: str, data: bytes, boxes: Sequence[BoxName], rows: Sequence[PatchRow]
) -> Offered:
    """Raises ValueError in words for a form, for what is no list."""
    grid = read(name, data)
    top, columns = _headings(grid)
    lines, left = [], []
    for number, cells in enumerate(grid[top + 1 :], start=top + 2):
        row = {key: cells[at].strip() for key, at in columns.items() if at < len(cells)}
        if not any(row.values()):
            continue
        try:
            line = _line(row, boxes, {each.name.casefold() for each in rows})
        except ValueError as error:
            left.append(_("Row {number}: {error}").format(number=number, error=error))
        else:
            if line:
                lines.append(line)
    return Offered(lines, left)


def _headings(grid: Grid) -> tuple[int, dict[str, int]]:
    best: tuple[int, dict[str, int]] = (0, {})
    for index, cells in enumerate(grid[:20]):
        tidy = [_tidy(cell) for cell in cells]
        found: dict[str, int] = {}
        for key in _COLUMNS:
            at = next((tidy.index(each) for each in _names(key) if each in tidy), None)
            if at is not None and at not in found.values():
                found[key] = at
        if len(found) > len(best[1]):
            best = (index, found)
    columns = best[1]
    if not ({"channel", "name"} & columns.keys() and {"box", "way"} & columns.keys()):
        raise ValueError(
            _(
                "No row of the list names its columns. It needs headings such as Channel, Box "
                "and Way."
            )
        )
    return best


def _line(row: dict[str, str], boxes: Sequence[BoxName], names: Collection[str]) -> str:
    """A row as a line; empty where it says nothing of an input."""
    channel, place = row.get("channel", ""), f"{row.get('box', '')} {row.get('way', '')}".strip()
    who = str(whole("number", _("a channel number"))(channel)["number"]) if channel else ""
    who = who or row.get("name", "").replace(",", " ")
    said = [
        f"{lead} {row[key]}"
        for key, lead in (("monitor", "monitor"), ("phantom", "phantom from"), ("split", "split"))
        if row.get(key)
    ]
    if not who or not (place or said) or who.casefold() == SPARE:
        return ""
    if not channel and who.casefold() not in names:
        raise ValueError(_("No input is called “{who}”.").format(who=who))
    if place:
        found = read_place(place, boxes)
        if found is None:
            raise ValueError(_("“{place}” names no way of a box.").format(place=place))
        who = f"{who} → {found.box.mark} {found.first}"
    return ", ".join([who, *said])
