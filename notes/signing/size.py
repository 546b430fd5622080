"""How large a difference is, so that the largest is read first. Pure.

From the largest: another microphone or DI (and an input that came or went); where it stands; gear
that came, went or is another, and its tuning; settings, by how far a dial turned; the desk's part
of an input, and cables; words. The order in which one asks when something sounds different
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from notes.signing.net_changes import Difference
from rigs.changes.edits import WHOLE, Change, Value
from rigs.dial_scales import Scale
from rigs.fields import FieldRole, Rank, find
from rigs.settings_of_controls import SWEEP_DEG, angle_of


class Size(NamedTuple):
    """`amount` compares within a rank: degrees that a dial turned; more is larger."""

    rank: Rank
    amount: float = 0.0


# Of each kind, how large it is that a whole part came or went; other kinds rank with words.
_WHOLE_RANKS = {
    "input": Rank.MICROPHONE,
    "unit": Rank.GEAR,
    "rig": Rank.GEAR,
    "spare": Rank.GEAR,  # another set of strings is another instrument
    "control": Rank.SETTING,
    "link": Rank.DESK,
    "fact": Rank.DESK,
}
_CLOCK = Scale()
# A switch thrown, or a setting that is no dial: not to be measured in degrees, so a whole sweep.
_WHOLE_SWEEP = SWEEP_DEG
# The words that get signed lead the words.
_AMOUNTS = {FieldRole.SCALE: _WHOLE_SWEEP, FieldRole.SIGNED_WORDS: 1.0}


def size_of(change: Change, scale: Scale = _CLOCK) -> Size:
    """`scale` is the control's own, for the setting of a control."""
    if change.field == WHOLE:
        rank = _WHOLE_RANKS.get(change.kind, Rank.WORDS)
        return Size(rank, _WHOLE_SWEEP if rank is Rank.SETTING else 0.0)
    row = find(change.kind, change.field)
    if row is None:
        return Size(Rank.WORDS)
    if row.role is FieldRole.SETTING:
        return Size(row.rank, turned(change.old, change.new, scale))
    return Size(row.rank, _AMOUNTS.get(row.role, 0.0))


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
    differences: Iterable[Difference], scales: Mapping[str, Scale] | None = None
) -> list[Difference]:
    """Sorted by size; equals newest first, then by part and field, so that the order is total.

    `scales` are those of controls by their id.
    """
    known = scales or {}
    return sorted(differences, key=lambda each: key_of(each, known.get(each.change.part, _CLOCK)))


def key_of(difference: Difference, scale: Scale = _CLOCK) -> Key:
    """What `largest_first` sorts by. No two differences of one rig have the same."""
    size = size_of(difference.change, scale)
    newest = difference.revisions[-1] if difference.revisions else 0
    return int(size.rank), -size.amount, -newest, difference.change.part, difference.change.field
