"""What two people did to one set at once, brought together. Pure.

Three states: the one that a page was made from, what was made of it there, and what is there now.
What only one of them touched is taken over. Two orders of the same lines are nobody's to decide but
theirs, and so are two values of one field.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, Protocol, TypeVar

from core.sets.state import FIELDS, State

MINE, NOW, TOGETHER = "typed", "now", "both"
ORDER, TARGET = "order", "target"  # keys of decisions, beside “line id:field”


class WithId(Protocol):
    """A line of something in order: a frozen dataclass with an id."""

    @property
    def id(self) -> str: ...


L = TypeVar("L", bound=WithId)
S = TypeVar("S")
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Clash:
    """Two values of one field of one line; `line` is None for a field of the whole."""

    key: str
    line: Any
    field: str
    mine: Any
    now: Any


@dataclass(frozen=True, slots=True)
class Orders:
    """Two orders of the set, by ids, and one with the moves of both."""

    mine: tuple[str, ...]
    now: tuple[str, ...]
    both: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Merged(Generic[S]):
    """`state` is whole only where nothing clashes. `kept` are lines that one took out while the
    other changed them."""

    state: S
    orders: Orders | None = None
    clashes: tuple[Clash, ...] = ()
    kept: tuple[str, ...] = ()

    @property
    def is_decided(self) -> bool:
        return self.orders is None and not self.clashes


def merge(
    base: State,
    mine: State,
    now: State,
    *,
    decided: Mapping[str, str] | None = None,
    same_person: bool = False,
) -> Merged[State]:
    """`mine` was made of `base`, while others made `now` of it.

    `decided` says by key which side counts. What one and the same person did twice does not clash:
    the later one counts.
    """
    decided = decided or {}
    lines, clashes, kept = merge_lines(
        base.by_id, mine.by_id, now.by_id, FIELDS, decided=decided, same_person=same_person
    )
    targets = (base.target_s, mine.target_s, now.target_s)
    side = side_of(TARGET, decided, same_person)
    target, clashing = merge_value(*targets, side)
    target_clash = [Clash(TARGET, None, "target_s", mine.target_s, target)] if clashing else []
    orders, ids = merge_order(
        base.ids, mine.ids, now.ids, set(lines), decided=decided, same_person=same_person
    )
    every = (*clashes, *target_clash)
    state = State(tuple(lines[each] for each in ids), target)
    return Merged(state, orders, every, tuple(kept))


def merge_lines(
    was: Mapping[str, L],
    own: Mapping[str, L],
    there: Mapping[str, L],
    fields: Sequence[str],
    *,
    decided: Mapping[str, str],
    same_person: bool,
) -> tuple[dict[str, L], list[Clash], list[str]]:
    """Lines of any kind by their ids: those that stay, what clashes, and the ids of those that one
    took out while the other changed them."""
    lines: dict[str, L] = {}
    clashes: list[Clash] = []
    kept: list[str] = []
    for key in dict.fromkeys((*own, *there)):
        one, other, before = own.get(key), there.get(key), was.get(key)
        if one is not None and other is not None:
            lines[key], found = _fields(before or other, one, other, fields, decided, same_person)
            clashes += found
        elif before is None:  # one of them put it in
            if (new := one or other) is not None:
                lines[key] = new
        elif (left := one or other) is not None and left != before:
            # One took it out while the other changed it: what somebody wrote is not thrown away.
            lines[key] = left
            kept.append(key)
    return lines, clashes, kept


def _fields(
    before: L,
    mine: L,
    now: L,
    fields: Sequence[str],
    decided: Mapping[str, str],
    same_person: bool,
) -> tuple[L, list[Clash]]:
    values: dict[str, Any] = {}
    clashes = []
    for field in fields:
        was, own, there = (getattr(line, field) for line in (before, mine, now))
        key = f"{now.id}:{field}"
        values[field], clashing = merge_value(was, own, there, side_of(key, decided, same_person))
        if clashing:
            clashes.append(Clash(key, now, field, own, there))
    changed: L = replace(now, **values)  # type: ignore[type-var]
    return changed, clashes


def side_of(key: str, decided: Mapping[str, str], same_person: bool) -> str:
    """The side that counts where two values clash; empty where somebody has to say."""
    return decided.get(key, MINE if same_person else "")


def merge_value(was: V, own: V, there: V, side: str) -> tuple[V, bool]:
    """One value of both sides, and whether somebody has to say which of the two counts."""
    if own == was:
        return there, False
    if there in (was, own) or side == MINE:
        return own, False
    return there, side != NOW


def merge_order(
    base: Sequence[str],
    mine: Sequence[str],
    now: Sequence[str],
    there: Collection[str],
    *,
    decided: Mapping[str, str],
    same_person: bool,
) -> tuple[Orders | None, list[str]]:
    """The order of the lines that are `there`; Orders where both moved them in different ways."""
    was = set(base)
    own_ids, now_ids = ([i for i in ids if i in there] for ids in (mine, now))
    own_new, now_new = ({i for i in ids if i not in was} for ids in (own_ids, now_ids))
    # Lines that the other side took out and that stay all the same come in from here, too.
    own_only, now_only = set(own_ids) - set(now_ids), set(now_ids) - set(own_ids)
    moved = {i for i in _moved(base, own_ids) if i in now_ids}
    both = place([i for i in now_ids if i not in moved], own_ids, moved | own_only | own_new)
    as_mine = place(own_ids, now_ids, now_only | now_new)
    as_now = place(now_ids, own_ids, own_only | own_new)
    clashing = bool(moved) and bool(_moved(base, now_ids)) and as_mine != as_now
    if not clashing or same_person:
        return None, both
    chosen = {MINE: as_mine, NOW: as_now, TOGETHER: both}.get(decided.get(ORDER, ""))
    if chosen is not None:
        return None, chosen
    return Orders(tuple(as_mine), tuple(as_now), tuple(both)), both


def place(onto: Sequence[str], wanted: Sequence[str], which: Collection[str]) -> list[str]:
    """`onto` with those of `which` that it lacks, each behind the line it follows in `wanted`.

    What was put first there comes first.
    """
    result = list(onto)
    for at, each in enumerate(wanted):
        if each in which and each not in result:
            before = next((w for w in reversed(wanted[:at]) if w in result), None)
            result.insert(0 if before is None else result.index(before) + 1, each)
    return result


def _moved(before: Sequence[str], after: Sequence[str]) -> set[str]:
    return set(moved(before, after))


def moved(before: Sequence[str], after: Sequence[str]) -> list[str]:
    """The fewest lines that went elsewhere, among those that are in both, as they come after."""
    place_before = {each: at for at, each in enumerate(before)}
    common = [each for each in after if each in place_before]
    # Longest increasing subsequence: what is not part of it must have moved.
    ends: list[int] = []
    ends_at: list[int] = []
    previous: list[int] = []
    for at, each in enumerate(common):
        value = place_before[each]
        length = bisect_left(ends, value)
        previous.append(ends_at[length - 1] if length else -1)
        ends[length : length + 1] = [value]
        ends_at[length : length + 1] = [at]
    stays: set[int] = set()
    at = ends_at[-1] if ends_at else -1
    while at >= 0:
        stays.add(at)
        at = previous[at]
    return [each for at, each in enumerate(common) if at not in stays]
