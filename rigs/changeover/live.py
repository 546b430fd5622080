"""What an open page of a changeover is told: what is ticked and how the clock stands, all of it.

Whole and not piece by piece: a page that was away for a minute needs no history to be right.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from django.utils import timezone

from core import clock
from core.live.stream import News
from core.models import Show
from rigs.changeover.marks import Mark
from rigs.changeover.records import ChangeoverNow, StepNow, changeover_of


def news_of(show: Show, since: int) -> list[News]:
    """The changeover as it is, where anything happened after number `since`. Four queries."""
    found = changeover_of(show)
    return [News(found.number, told(found))] if found.number > since else []


def told(found: ChangeoverNow) -> dict[str, Any]:
    """As plain values: moments in ISO 8601, times in s."""
    return {
        "number": found.number,
        "plan": found.version,
        "steps": {step.step.id: _step(step) for step in found.steps},
        "done": found.done_count,
        "left_s": found.still.needed_s,
        "clock": clock_of(found),
    }


def clock_of(found: ChangeoverNow) -> dict[str, Any]:
    """The clock as a page needs it: `now` is what the server's clock said."""
    started, stopped = found.pressed.started, found.pressed.stopped
    return {
        "now": clock.now().isoformat(),
        "started": started.at.isoformat() if started else "",
        "stopped": stopped.at.isoformat() if stopped else "",
        "there_s": found.plan.there_s,
        "words": clock_words(found),
    }


class Face(NamedTuple):
    """What the clock shows: seconds, and whether they are left, over or gone."""

    seconds: int
    word: str

    @property
    def is_over(self) -> bool:
        return self.word == "over"


def face_of(found: ChangeoverNow) -> Face:
    """The clock at this moment; rigs/js/changeover.js counts on from it by the same rule."""
    gone, there = found.pressed.seconds(clock.now()), found.plan.there_s
    if gone is None:
        return Face(there or 0, "gone" if there is None else "there are")
    if there is None:
        return Face(gone, "gone")
    return Face(abs(there - gone), "left" if gone <= there else "over")


def clock_words(found: ChangeoverNow) -> str:
    """Who started the clock and stopped it, and when."""
    started, stopped = found.pressed.started, found.pressed.stopped
    said = [f"started {_by(started)}"] if started else []
    said += [f"stopped {_by(stopped)}"] if stopped else []
    return ", ".join(said)


def mark_words(step: StepNow) -> str:
    """“Lise, 21:44”: who ticked a step off, and when; empty where nobody did."""
    return f"{step.mark.by_name}, {_time(step.mark)}" if step.mark is not None else ""


def _step(step: StepNow) -> dict[str, Any]:
    return {"done": step.is_done, "words": mark_words(step), "took_s": step.took_s}


def _by(mark: Mark) -> str:
    return f"{_time(mark)} by {mark.by_name}"


def _time(mark: Mark) -> str:
    return f"{timezone.localtime(mark.at):%H:%M:%S}"
