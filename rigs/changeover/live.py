"""What an open page of a changeover is told: what is ticked and how the clock stands, all of it.

Whole and not piece by piece: a page that was away for a minute needs no history to be right.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from core import clock
from core.languages.words import each_of
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


LEFT, OVER, GONE, THERE = "left", "over", "gone", "there"
# Behind the time that the clock shows, as “2:30 left”.
FACE_WORDS = {
    LEFT: pgettext_lazy("clock", "left"),
    OVER: pgettext_lazy("clock", "over"),
    GONE: pgettext_lazy("clock", "gone"),
    THERE: pgettext_lazy("clock", "there are"),
}


class Face(NamedTuple):
    """What the clock shows: seconds, and whether they are left, over, gone or what there is."""

    seconds: int
    state: str

    @property
    def word(self) -> str:
        return str(FACE_WORDS[self.state])

    @property
    def is_over(self) -> bool:
        return self.state == OVER


def face_of(found: ChangeoverNow) -> Face:
    """The clock at this moment; rigs/js/changeover.js counts on from it by the same rule."""
    gone, there = found.pressed.seconds(clock.now()), found.plan.there_s
    if gone is None:
        return Face(there or 0, GONE if there is None else THERE)
    if there is None:
        return Face(gone, GONE)
    return Face(abs(there - gone), LEFT if gone <= there else OVER)


def clock_words(found: ChangeoverNow) -> str:
    """Who started the clock and stopped it, and when."""
    started, stopped = found.pressed.started, found.pressed.stopped
    said = [_by(_("started {time} by {name}"), started)] if started else []
    said += [_by(_("stopped {time} by {name}"), stopped)] if stopped else []
    return each_of(said)


def mark_words(step: StepNow) -> str:
    """“Lise, 21:44”: who ticked a step off, and when; empty where nobody did."""
    return f"{step.mark.by_name}, {_time(step.mark)}" if step.mark is not None else ""


def _step(step: StepNow) -> dict[str, Any]:
    return {"done": step.is_done, "words": mark_words(step), "took_s": step.took_s}


def _by(said: str, mark: Mark) -> str:
    return said.format(time=_time(mark), name=mark.by_name)


def _time(mark: Mark) -> str:
    return f"{timezone.localtime(mark.at):%H:%M:%S}"
