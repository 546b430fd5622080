"""One row for several inputs: “23/24, OH L/R, 2x Reed” is two of them. Pure."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _

MOST = 16  # channels that one row may stand for; “1-48” is a heading or a slip

_JOINED = re.compile(r"\d+(?:[/+&,]\d+)+")
_RANGE = re.compile(r"(\d+)[-–—](\d+)")
_SIDES = re.compile(r"\s*[/+&]\s*")
_TAIL = re.compile(r"(?P<stem>.*[\s\-.])?(?P<tail>\S{1,3})")
_COUNTED = re.compile(r"(?P<stem>.*\S)\s+(?P<low>\d+)\s*[-–]\s*(?P<high>\d+)")
_STEREO = re.compile(r"[\s,(]*\b(?:stereo|st|pair|lr)\b[.)]*\s*$", re.IGNORECASE)
_TIMES = (
    re.compile(r"(?P<count>\d+)\s*[x×]\s*(?P<what>\S.*)", re.IGNORECASE),
    re.compile(r"(?P<what>.*\S)\s*\b[x×]\s*(?P<count>\d+)", re.IGNORECASE),
    re.compile(r"(?P<count>\d+)\s+(?P<what>[^\W\d].*)"),
)
_PAIR = re.compile(r"(?:a\s+)?pair\s+(?:of\s+)?(?P<what>\S.*)", re.IGNORECASE)


def channels(cell: str) -> list[int]:
    """The channels a cell names: “7”, “23/24”, “14+15”, “5-8”; empty for what names none."""
    text = cell.replace(" ", "").lstrip("#").removesuffix(".0")
    if text.isdecimal():
        return [int(text)]
    if _JOINED.fullmatch(text):
        several = [int(each) for each in re.split(r"[/+&,]", text)]
        return several if len(several) <= MOST and len(set(several)) == len(several) else []
    if match := _RANGE.fullmatch(text):
        low, high = int(match[1]), int(match[2])
        return list(range(low, high + 1)) if low < high < low + MOST else []
    return []


def each_of(cell: str, count: int) -> list[str] | None:
    """`cell` as one text for each of `count` inputs, where it names that many: “DR 8/9”, “Clip /
    Reed”; None where it does not."""
    first, *others = _SIDES.split(cell)
    if len(others) + 1 != count or not all((first, *others)):
        return None
    match = _TAIL.fullmatch(first)
    # “OH L/R”: what stands before the last word of the first belongs to all.
    if match and match["stem"] and all(re.fullmatch(r"\S{1,3}", other) for other in others):
        return [match["stem"] + tail for tail in (match["tail"], *others)]
    return [first, *others]


def names_of(cell: str, count: int) -> list[str]:
    """A name for each of `count` inputs: “Toms 1-3” is Tom 1, Tom 2, Tom 3."""
    if stated := each_of(cell, count):
        return stated
    match = _COUNTED.fullmatch(cell)
    if match and int(match["high"]) - int(match["low"]) == count - 1:
        stem = re.sub(r"(?<=\w\w)s$", "", match["stem"], flags=re.IGNORECASE)
        return [f"{stem} {n}" for n in range(int(match["low"]), int(match["high"]) + 1)]
    stem = _STEREO.sub("", cell)
    if count == 2 and stem and stem != cell:
        return [f"{stem} L", f"{stem} R"]
    return [f"{cell} {n}" for n in range(1, count + 1)]


def counted(cell: str) -> tuple[int, str]:
    """How many of what: “2x Reed”, “DI x2”, “pair Reed”, “2 DI”. One where no number says more."""
    if match := _PAIR.fullmatch(cell):
        return 2, match["what"]
    for pattern in _TIMES:
        if (match := pattern.fullmatch(cell)) and 1 < int(match["count"]) <= MOST:
            return int(match["count"]), match["what"]
    return 1, cell


def spread(key: str, cell: str, count: int) -> list[str]:
    """The cell of column `key` for each of `count` inputs of its row.

    Raises ValueError, in words for a form, where it counts otherwise than the channels do.
    """
    if key == "number":
        return [str(number) for number in channels(cell)]
    if key == "name":
        return names_of(cell, count)
    if key in ("notes", "player"):
        return [cell] * count
    if key in ("device", "stand"):
        many, what = counted(cell)
        if many not in (1, count):
            raise ValueError(
                _("“{cell}” is {many}, but the row has {count} channels.").format(
                    cell=cell, many=many, count=count
                )
            )
        # “T/B” is one tall boom; “clip / tall” is two stands.
        if many > 1 or (key == "stand" and not re.search(r"\s[/+&]\s", cell)):
            return [what] * count
    return each_of(cell, count) or [cell] * count
