"""How long a changeover takes at least. Pure; all times in whole seconds.

Steps of one person follow each other in the order of the list; different people work at once. A
step that may not run beside others begins when all before it are done, and all after it wait for
it. Steps with nobody's name count as one more pair of hands.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Protocol


class Timed(Protocol):
    """A step; `who` is "" where nobody is named, `planned_s` None where nobody timed it."""

    @property
    def id(self) -> str: ...
    @property
    def who(self) -> str: ...
    @property
    def planned_s(self) -> int | None: ...
    @property
    def side_by_side(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Times:
    """`needed_s` from the first step to the end of the last; `sum_s` if one person did it all;
    `hands` what each has to do, the longest first; `ends` when each step is done, by its id."""

    needed_s: int = 0
    sum_s: int = 0
    is_whole: bool = True  # whether every step is timed
    hands: tuple[tuple[str, int], ...] = ()
    ends: dict[str, int] = field(default_factory=dict)

    def over_s(self, there_s: int | None) -> int | None:
        """Seconds more than there are, negative for less; None where no time is given."""
        return None if there_s is None else self.needed_s - there_s


def times_of(steps: Iterable[Timed]) -> Times:
    """The times of `steps`, which are in their order."""
    free: dict[str, int] = {}  # when each pair of hands is free again
    hands: dict[str, int] = {}
    ends: dict[str, int] = {}
    last = waited_for = 0  # the end of all so far, and of the last step that all wait for
    is_whole = True
    for step in steps:
        lasts = step.planned_s or 0
        is_whole = is_whole and step.planned_s is not None
        begins = max(free.get(step.who, 0), waited_for) if step.side_by_side else last
        end = begins + lasts
        ends[step.id] = free[step.who] = end
        hands[step.who] = hands.get(step.who, 0) + lasts
        last = max(last, end)
        if not step.side_by_side:
            waited_for = end
    longest_first = sorted(hands.items(), key=lambda each: -each[1])
    return Times(last, sum(hands.values()), is_whole, tuple(longest_first), ends)
