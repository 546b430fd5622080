"""How large a difference is, so that the largest is read first. Pure.

From the largest: another microphone or DI (and an input that came or went); where it stands; gear
that came, went or is another, and its tuning; settings, by how far a dial turned; the desk's part
of an input, and cables; words. The order in which one asks when something sounds different
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import IntEnum
from typing import NamedTuple

from notes.signing.net import Difference
from rigs.revisions.edits import WHOLE, Change, Value
from rigs.revisions.reasons import DEVICE, PLACEMENT
from rigs.settings_of_controls import SWEEP_DEG, Style, angle_of


class Rank(IntEnum):
    """The largest first."""

    MICROPHONE = 0
    PLACEMENT = 1
    GEAR = 2
    SETTING = 3
    DESK = 4
    WORDS = 5


class Size(NamedTuple):
    """`amount` compares within a rank: degrees that a dial turned; more is larger."""

    rank: Rank
    amount: float = 0.0


class Scale(NamedTuple):
    """What a control's setting is read on."""

    style: str = Style.CLOCK
    low: Decimal | None = None
    high: Decimal | None = None


_GEAR = frozenset({WHOLE, "gear", "maker", "model", "serial", "tuning", "variant", "retired"})
_SPARE = frozenset({WHOLE, "what", "gauges"})  # another set of strings is another instrument
_SCALE = frozenset({"style", "low", "high", "choices", "symbol"})
_WORDS = frozenset({"name", "notes", "position", "number", "stage_position", "caption", "about"})
_CLOCK = Scale()
# A switch thrown, or a setting that is no dial: not to be measured in degrees, so a whole sweep.
_WHOLE_SWEEP = SWEEP_DEG


def size_of(change: Change, scale: Scale = _CLOCK) -> Size:
    """`scale` is the control's own, for the setting of a control."""
    if change.kind == "input":
        return Size(_rank_of_input(change.field))
    if change.kind == "spare":
        return Size(Rank.GEAR if change.field in _SPARE else Rank.WORDS)
    if change.kind in ("unit", "rig"):
        spoken = 1.0 if change.field == "sound" else 0.0  # the words that get signed lead the words
        return Size(Rank.GEAR) if change.field in _GEAR else Size(Rank.WORDS, spoken)
    if change.kind == "control":
        return _of_control(change, scale)
    if change.kind in ("link", "fact"):
        return Size(Rank.WORDS if change.field in _WORDS else Rank.DESK)
    return Size(Rank.WORDS)


def _rank_of_input(field: str) -> Rank:
    if field == WHOLE or field in DEVICE:
        return Rank.MICROPHONE
    if field in PLACEMENT:
        return Rank.PLACEMENT
    return Rank.WORDS if field in _WORDS else Rank.DESK


def _of_control(change: Change, scale: Scale) -> Size:
    if change.field == "setting":
        return Size(Rank.SETTING, turned(change.old, change.new, scale))
    if change.field == WHOLE or change.field in _SCALE:
        return Size(Rank.SETTING, _WHOLE_SWEEP)
    return Size(Rank.WORDS)


def turned(old: Value | dict[str, Value], new: Value | dict[str, Value], scale: Scale) -> float:
    """How far a dial turned, in degrees. What cannot be read as a dial counts as a whole sweep."""
    before, after = _angle(old, scale), _angle(new, scale)
    return _WHOLE_SWEEP if before is None or after is None else abs(after - before)


def _angle(value: Value | dict[str, Value], scale: Scale) -> float | None:
    try:
        return angle_of(scale.style, str(value or ""), scale.low, scale.high)
    except (ValueError, ZeroDivisionError):  # of the time before its scale was checked
        return None


Key = tuple[int, float, int, str, str]


def largest_first(
    found: Iterable[Difference], scales: Mapping[str, Scale] | None = None
) -> list[Difference]:
    """Sorted by size; equals newest first, then by part and field, so that the order is total.

    `scales` are those of controls by their id.
    """
    known = scales or {}
    return sorted(found, key=lambda each: key_of(each, known.get(each.change.part, _CLOCK)))


def key_of(difference: Difference, scale: Scale = _CLOCK) -> Key:
    """What `largest_first` sorts by. No two differences of one rig have the same."""
    size = size_of(difference.change, scale)
    newest = difference.revisions[-1] if difference.revisions else 0
    return int(size.rank), -size.amount, -newest, difference.change.part, difference.change.field
