"""The patch in words: a way (“A12”, “Box A 12”, “SL 12”) and many at once, one a line. Pure.

    1–16 → A 1–16
    17-20 to SL 1, monitor 9
    5 → D 3, phantom from monitor, split passive
    Lead voice → A 12
    8 → none

In front of the arrow stand channels of the FOH desk or the name of an input, behind it the way of
the first; where the ways have an end, there must be as many. What is not said stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from core.languages.typed import Typed, between_figures, narrow, typed_as
from core.languages.words import each_of

MOST_LINES = 200
_ARROW = re.compile(r"\s*(?:→|-+>|=+>|=|:|>|\bto\b)\s*")
_LEAD = re.compile(r"(?:stage\s*)?box\s+|sub[- ]?snake\s+|snake\s+|loom\s+|multi(?:pin)?\s+", re.I)
_PHANTOM = re.compile(r"phantom\s+(?:power\s+)?(?:from\s+)?(?:the\s+)?(.+)", re.IGNORECASE)
_SPLIT = re.compile(r"split\s+(.+)|(\w+)\s+split", re.IGNORECASE)
_DASHES = frozenset({"-", "–", "—", "ー"})
_TO = typed_as(pgettext_lazy("typed before a way of a box", "to"))
_DESK = typed_as(gettext_lazy("desk|the desk|split|the split"))
_INPUTS = typed_as(gettext_lazy("input|inputs"), gettext_lazy("channel|channels|ch"))
_CHANNEL_WORDS = typed_as(gettext_lazy("channel|channels|ch"))
_WAY_WORDS = typed_as(pgettext_lazy("typed before a number", "way"))
_BOXES = typed_as(gettext_lazy("stage box|box|snake|sub-snake|loom|multi|multipin"))
_MONITORS = typed_as(gettext_lazy("monitor|monitors|mon"))
_FED = typed_as(gettext_lazy("phantom|phantom power"))
_SPLIT_WORDS = typed_as(gettext_lazy("split|splitter"))
_FROM = typed_as(gettext_lazy("from|from the|the"))
_NO_WAY = typed_as(gettext_lazy("none|no way|nothing"))
_PHANTOMS: Typed[str] = Typed(
    [
        (gettext_lazy("foh|foh desk|front of house|house"), "foh"),
        (gettext_lazy("monitor|monitors|mon|monitor desk"), "monitor"),
        (gettext_lazy("both|both desks"), "both"),
        (gettext_lazy("split|splitter|the split"), "split"),
    ]
)
_SPLITS: Typed[str] = Typed(
    [
        (gettext_lazy("none|no|not"), "none"),
        (pgettext_lazy("typed of a split", "passive"), "passive"),
        (gettext_lazy("transformer|isolated|transformer-isolated"), "transformer"),
        (pgettext_lazy("typed of a split", "active"), "active"),
    ]
)


@cache
def _arrow() -> re.Pattern[str]:
    """An arrow, or the word for it in any language."""
    return re.compile(rf"{_ARROW.pattern}|\s*{_TO.apart}\s*")


@cache
def _span() -> str:
    return rf"(\d{{1,4}})(?:{between_figures()}(\d{{1,4}}))?"


@cache
def _channels() -> re.Pattern[str]:
    return re.compile(rf"(?:{_INPUTS.pattern}\.?\s*)?{_span()}", re.IGNORECASE)


@cache
def _ways() -> re.Pattern[str]:
    way = rf"(?:way\s+|{_WAY_WORDS.pattern}\s*)?"
    return re.compile(rf"\s*[-/.:·#]?\s*{way}{_span()}", re.IGNORECASE)


@cache
def _lead() -> re.Pattern[str]:
    return re.compile(rf"{_LEAD.pattern}|{_BOXES.apart}\s*", re.IGNORECASE)


@cache
def _monitor() -> re.Pattern[str]:
    channel = rf"(?:{_CHANNEL_WORDS.pattern})?"
    return re.compile(rf"{_MONITORS.pattern}\s*{channel}\s*{_span()}", re.IGNORECASE)


class BoxName(NamedTuple):
    """What a box can be called: its mark and its name."""

    id: str
    mark: str
    name: str
    ways: int


class Place(NamedTuple):
    """A way of a box, or ways up to `last`."""

    box: BoxName
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class SaidLine:
    """What one line says. Of its inputs either `name` or channels `first` to `last` are given.

    `place` is None where it says nothing of the way, `no_way` where it says that there is none;
    `monitor` is the channel of the first input. What is empty is not said.
    """

    first: int = 0
    last: int = 0
    name: str = ""
    place: Place | None = None
    no_way: bool = False
    monitor: int | None = None
    phantom_from: str = ""
    split: str = ""


class SaidRun(NamedTuple):
    """Ways of a box from `first` on that go into those of `into`, one to one."""

    first: int
    into: Place


def read_runs(text: str, own: BoxName, boxes: Iterable[BoxName]) -> tuple[list[SaidRun], bool]:
    """Where the ways of `own` go: its runs, and whether they go to the desk or the split.

    Raises ValueError in words for a form.
    """
    runs: list[SaidRun] = []
    to_desk = False
    for part in filter(None, (each.strip() for each in narrow(text).split(";"))):
        if part in _DESK:
            to_desk = True
            continue
        found, into = _run(part, boxes)
        if found is None or into is None:
            raise ValueError(_("“{part}” is no run. Write 1–8 → B 1–8, or desk.").format(part=part))
        first, last = int(found[1]), int(found[2] or found[1])
        if first < 1 or last < first or last > own.ways:
            raise ValueError(
                _("{name} has ways 1 to {ways}: there is no way {mark} {last}.").format(
                    name=own.name, ways=own.ways, mark=own.mark, last=last
                )
            )
        if last - first != into.last - into.first:
            raise ValueError(
                _("“{part}”: as many ways are needed on both sides.").format(part=part)
            )
        runs.append(SaidRun(first, into))
    return runs, to_desk


def _run(part: str, boxes: Iterable[BoxName]) -> tuple[re.Match[str] | None, Place | None]:
    """The ways before an arrow and those behind it; “1 to 8 to B 1 to 8” has more than one."""
    boxes = list(boxes)
    for arrow in _arrow().finditer(part):
        found = _channels().fullmatch(part[: arrow.start()].strip())
        into = read_place(part[arrow.end() :], boxes) if found else None
        if into is not None:
            return found, into
    return None, None


def read_place(text: str, boxes: Iterable[BoxName]) -> Place | None:
    """The way that words name; None where they name no box or no number.

    Raises ValueError for a way that the box has not.
    """
    words = " ".join(narrow(text).split())
    # Where a mark itself ends with digits, the longest name that fits is meant.
    called_so = [(called, box) for box in boxes for called in (box.mark, box.name)]
    for called, box in sorted(called_so, key=lambda pair: -len(pair[0])):
        rest = _after(words, called)
        found = _ways().fullmatch(rest) if rest is not None else None
        if found:
            first, last = int(found[1]), int(found[2] or found[1])
            if first < 1 or last > box.ways or last < first:
                wrong = last if 1 <= first <= box.ways else first
                raise ValueError(
                    _("{name} has ways 1 to {ways}: there is no way {mark} {wrong}.").format(
                        name=box.name, ways=box.ways, mark=box.mark, wrong=wrong
                    )
                )
            return Place(box, first, last)
    return None


def _after(words: str, called: str) -> str | None:
    """What follows the name of a box in `words`, which may say first that it is one."""
    called, lead = narrow(called), _lead().match(words)
    for start in (words, words[lead.end() :] if lead else words):
        if start.casefold().startswith(called.casefold()):
            rest = start[len(called) :]
            # “A12” is way 12 of A, yet “D112” no way 12 of D1, where a mark ends with a digit.
            if rest and not (rest[0].isalpha() or (called[-1].isdigit() and rest[0].isdigit())):
                return rest
    return None


def read_line(line: str, boxes: Iterable[BoxName]) -> SaidLine:
    """Raises ValueError in words for a form."""
    head, *more = [" ".join(cell.split()) for cell in narrow(line).replace("\t", ",").split(",")]
    said = _head(head, list(boxes))
    for cell in filter(None, more):
        said = _more(said, cell)
    return said


def _head(head: str, boxes: list[BoxName]) -> SaidLine:
    wrong: ValueError | None = None
    # A name may hold what could be an arrow: the last one that leaves a way behind it counts.
    for arrow in reversed(list(_arrow().finditer(head))):
        who, where = head[: arrow.start()].strip(), head[arrow.end() :].strip()
        if not who or not where:
            continue
        try:
            place = None if _is_none(where) else read_place(where, boxes)
        except ValueError as error:
            wrong = error
            continue
        if place is None and not _is_none(where):
            continue
        return _checked(who, place)
    if wrong is not None:
        raise wrong
    # A word of another language may well stand in the name of an input.
    if _ARROW.search(head):
        marks = each_of(box.mark for box in boxes)
        raise ValueError(
            _("“{head}” names no way of a box. The boxes are {marks}.").format(
                head=head, marks=marks
            )
        )
    return _who(head)


def _is_none(where: str) -> bool:
    return where in _DASHES or where in _NO_WAY


def _who(who: str) -> SaidLine:
    if found := _channels().fullmatch(who):
        first, last = int(found[1]), int(found[2] or found[1])
        if last < first:
            raise ValueError(_("{first}–{last} runs backwards.").format(first=first, last=last))
        return SaidLine(first, last)
    return SaidLine(name=who)


def _checked(who: str, place: Place | None) -> SaidLine:
    said = _who(who)
    if place is None:
        return SaidLine(said.first, said.last, said.name, no_way=True)
    inputs, ways = said.last - said.first + 1, place.last - place.first + 1
    if ways == 1:
        place = place._replace(last=place.first + inputs - 1)
        if place.last > place.box.ways:
            box = place.box
            raise ValueError(
                _("{name} has ways 1 to {ways}: there is no way {mark} {last}.").format(
                    name=box.name, ways=box.ways, mark=box.mark, last=place.last
                )
            )
    elif ways != inputs:
        wrong = ngettext("{n} input, but {ways} ways.", "{n} inputs, but {ways} ways.", inputs)
        raise ValueError(wrong.format(n=inputs, ways=ways))
    return SaidLine(said.first, said.last, said.name, place)


def _more(said: SaidLine, cell: str) -> SaidLine:
    if found := _monitor().fullmatch(cell):
        first, last = int(found[1]), int(found[2] or 0)
        if last and last - first != said.last - said.first:
            raise ValueError(
                _("“{cell}” is not as many channels as there are inputs.").format(cell=cell)
            )
        return replace(said, monitor=first)
    if words := _behind(cell, _PHANTOM, _FED):
        return replace(said, phantom_from=_known(words, _PHANTOMS, cell))
    if words := _behind(cell, _SPLIT, _SPLIT_WORDS):
        return replace(said, split=_known(words, _SPLITS, cell))
    raise ValueError(
        _(
            "“{cell}” is not understood. Behind the way stand “monitor 9”, “phantom "
            "from monitor” or “split passive”."
        ).format(cell=cell)
    )


def _behind(cell: str, english: re.Pattern[str], words: Typed[bool]) -> str:
    """What a cell says of what it begins or ends with; empty where it is about something else."""
    if found := english.fullmatch(cell):
        return str(found[1] or found[english.groups])
    return words.beside(cell) or ""


def _known(words: str, among: Typed[str], cell: str) -> str:
    meant = among.get(words) or among.get(_FROM.bare(words))
    if meant is None:
        raise ValueError(
            _("“{cell}”: say one of {sorted}.").format(
                cell=cell, sorted=_(", ").join(sorted(among.offered))
            )
        )
    return meant
