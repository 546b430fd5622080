"""The point that a tape starts at: which unit it is on, and whether two tapes share it. Pure.

Crews write “rim” or “grille cloth”, and every tom has a rim. A point therefore belongs to the unit
that its words name (“snare centre”, of an overhead), or else to the unit the input listens to.
Code that compares two placements, or needs the distance to the source, uses this module.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.figures import listed

if TYPE_CHECKING:
    from rigs.checks.bench import BenchInput

# Words for a part or a side, which name no unit even where a unit is called by one of them.
_SIDES = "left right top bottom front rear back upper lower inside outside in out centre middle"
_PIECES = (
    "edge rim hoop head batter resonant wire side grille cloth cone cap dust port hole bell mouth "
    "bridge neck string strings soundhole lid shell stand"
)
_PARTS = frozenset(f"{_SIDES} {_PIECES}".split(" "))
_NO_WORDS = frozenset({"the", "of", "s", "a", "an", "at", "on", "from", "and"})
_SPELLINGS = {"center": "centre"}


class Point(NamedTuple):
    """A point on a unit, by the unit's id and what is left of the words.

    `unit` is empty where an input that listens to no unit is measured from a thing that is none
    either: “stage edge”. That it is the same thing each time is then taken on trust.
    """

    unit: str
    words: frozenset[str]


def point(reference: str, own: str, names: Mapping[str, str]) -> Point | None:
    """The point where the tape of an input starts; `names` are the units by id.

    `own` is the unit that the input listens to. None where no point is written down, or where
    nothing says which unit it is on.
    """
    words = _words(reference)
    if not words:
        return None
    named = _named(words, own, names)
    if len(named) > 1:
        return None
    unit = named[0] if named else own
    if not unit and not words - _PARTS:
        return None
    return Point(unit, words - _words(names.get(unit, "")))


def share_a_point(one: BenchInput, other: BenchInput) -> bool:
    """Whether both tapes start at one and the same point."""
    return one.point is not None and one.point == other.point


def own_distance(entry: BenchInput) -> float | None:
    """The distance in m from what the input listens to; None if its tape starts elsewhere.

    An input that does not say where its tape starts is taken to mean its own unit. Of several
    units, any may be the one that the tape starts at.
    """
    if (
        entry.reference
        and entry.units
        and (not entry.point or entry.point.unit not in entry.unit_ids)
    ):
        return None
    return entry.distance


NO_COMMON_POINT = gettext_lazy("distances from one point")


def how_to_share(one: BenchInput, other: BenchInput) -> str:
    """A sentence on what to measure instead, where two tapes do not start at one point."""
    return _(
        "Measure both from one point and name the unit that it is on, such as “snare centre”. "
        "As written they start at two: {places}."
    ).format(places=listed((_where(one), _where(other))))


def _where(entry: BenchInput) -> str:
    if not entry.reference:
        return _("{entry} at a point not said").format(entry=entry.name)
    at = entry.point.unit if entry.point else ""
    own = next((unit.name for unit in entry.units if unit.id == at), "")
    said = _("{entry} at “{point}” of {unit}") if own else _("{entry} at “{point}”")
    return said.format(entry=entry.name, point=entry.reference, unit=own)


def _words(text: str) -> frozenset[str]:
    words = re.findall(r"\w+", text.casefold())
    return frozenset(_SPELLINGS.get(word, word) for word in words) - _NO_WORDS


def _named(words: frozenset[str], own: str, names: Mapping[str, str]) -> list[str]:
    """The units that the words name: none, one, or several that they do not tell apart."""
    scores = {unit: _score(words, _words(name)) for unit, name in names.items()}
    best = max(scores.values(), default=0)
    if best == 0:
        return []
    best_units = [unit for unit, score in scores.items() if score == best]
    if own in best_units:
        return [own]
    whole = [unit for unit in best_units if _words(names[unit]) <= words]
    return whole if len(whole) == 1 else best_units


def _score(words: frozenset[str], name: frozenset[str]) -> int:
    """How many words the two share; 0 where these are only numbers and parts of things."""
    shared = words & name
    proper_words = [word for word in shared - _PARTS if not word.isdigit()]
    return len(shared) if proper_words else 0
