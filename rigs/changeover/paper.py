"""A changeover on one page of paper, to be ticked with a pen."""

from __future__ import annotations

from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from core import clock
from core.durations import format_duration, format_minutes
from core.languages.words import each_of
from core.models import Show
from rigs.changeover.cautions import HURRY
from rigs.changeover.records import ChangeoverNow, StepNow
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at


def changeover_page(show: Show, found: ChangeoverNow, *, paper: Paper) -> bytes:
    """The plan as PDF, tagged: both parts, who and minutes, what it sums up to, and the caution."""
    longest = max((len(step.step.words) for step in found.steps), default=0)
    data = {
        "title": _("Changeover, {show}").format(show=show),
        "paper": paper,
        "stamp": _("printed {at}").format(at=printed_at(clock.now())),
        "place": str(show.leg.production),
        "sum": sum_words(found),
        "hands": hands_words(found),
        "parts": [
            {"name": name, "rows": [_row(step) for step in steps]} for name, steps in found.parts
        ],
        # Measured on sheets that were made: what one page of Letter takes at each size.
        "small": len(found.steps) > 16 or (len(found.steps) > 12 and longest > 70),
        "caution": f"{HURRY.title}. {HURRY.text}",
    }
    return press("changeover.typ", data)


def sum_words(found: ChangeoverNow) -> str:
    """How long it takes at least, beside the time there is and the sum of all steps."""
    times, there_s = found.times, found.plan.there_s
    takes, over = format_duration(times.needed_s), found.over_s
    if not times.is_whole:
        takes = _("at least {time}").format(time=takes)
    if over is None:
        said = "{takes}"
    elif over == 0:
        said = _("{takes} of {there}: exactly")
    else:
        said = (
            _("{takes} of {there}: {time} over")
            if over > 0
            else _("{takes} of {there}: {time} left")
        )
    words = said.format(
        takes=takes, there=format_duration(there_s), time=format_duration(abs(over or 0))
    )
    one_by_one = _("One after another: {time}.").format(time=format_duration(times.sum_s))
    return f"{capfirst(words)}. {one_by_one}"


def hands_words(found: ChangeoverNow) -> str:
    """“Lise 8:00, Bo 6:30”: what each has to do, the longest first."""
    return each_of(f"{who} {format_duration(seconds)}" for who, seconds in found.hands)


def _row(step: StepNow) -> list[Any]:
    planned = step.step.planned_s
    alone = "" if step.step.side_by_side else _("all wait")
    return [
        str(step.number),
        step.step.words,
        step.place,
        step.who,
        format_minutes(planned) or "?",
        each_of([format_duration(step.ends_s), alone]),
    ]
