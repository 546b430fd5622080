"""What holds at a changeover after all that was pressed: which steps are done, and the clock. Pure.

Several people press at once, some without a network, and their presses arrive in any order, some
twice. So what holds depends on the moments at which they were made and on nothing else: a step is
as the newest of its marks says, and the clock runs from the first start after the last stop.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

DONE, OPEN, START, STOP = "done", "open", "start", "stop"


class Mark(Protocol):
    """One press; `step` is the id of a step, None for the clock."""

    @property
    def pk(self) -> Any: ...
    @property
    def what(self) -> str: ...
    @property
    def step_id(self) -> Any: ...
    @property
    def by_name(self) -> str: ...
    @property
    def at(self) -> datetime: ...
    @property
    def arrived_at(self) -> datetime | None: ...


@dataclass(frozen=True, slots=True)
class Pressed:
    """`done` has the mark with which each step that is done became so, by the id of the step;
    `last` the newest mark of each step. `started` and `stopped` are those of the newest run."""

    done: Mapping[str, Mark] = field(default_factory=dict)
    last: Mapping[str, Mark] = field(default_factory=dict)
    started: Mark | None = None
    stopped: Mark | None = None

    @property
    def is_running(self) -> bool:
        return self.started is not None and self.stopped is None

    def seconds(self, now: datetime) -> int | None:
        """How long the newest run lasted, or lasts so far; None before the first."""
        if self.started is None:
            return None
        end = self.stopped.at if self.stopped is not None else now
        return max(0, int((end - self.started.at).total_seconds()))

    def after_start(self, step: str) -> int | None:
        """Seconds from the start to when a step was done; None for what was done before."""
        mark = self.done.get(step)
        if mark is None or self.started is None or mark.at < self.started.at:
            return None
        return int((mark.at - self.started.at).total_seconds())


def pressed(marks: Iterable[Mark]) -> Pressed:
    """What holds after `marks`, whatever order they come in."""
    done: dict[str, Mark] = {}
    last: dict[str, Mark] = {}
    started: Mark | None = None
    stopped: Mark | None = None
    # The key beside the moment, so that two of the same moment have one order everywhere.
    for mark in sorted(marks, key=lambda each: (each.at, str(each.pk))):
        if mark.what == START:
            if started is None or stopped is not None:
                started, stopped = mark, None
        elif mark.what == STOP:
            if started is not None and stopped is None:
                stopped = mark
        else:
            step = str(mark.step_id)
            last[step] = mark
            if mark.what == DONE:
                done.setdefault(step, mark)
            else:
                done.pop(step, None)
    return Pressed(done, last, started, stopped)
