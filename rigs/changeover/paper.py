"""A changeover on one page of paper, to be ticked with a pen."""

from __future__ import annotations

from typing import Any

from core import clock
from core.durations import format_duration, format_minutes
from core.models import Show
from rigs.changeover.cautions import HURRY
from rigs.changeover.records import ChangeoverNow, StepNow
from rigs.paper.pdf import Paper, press
from rigs.paper.sheets import printed_at


def changeover_page(show: Show, found: ChangeoverNow, *, paper: Paper) -> bytes:
    """The plan as PDF, tagged: both parts, who and minutes, what it sums up to, and the caution."""
    longest = max((len(step.step.words) for step in found.steps), default=0)
    data = {
        "title": f"Changeover, {show}",
        "paper": paper,
        "stamp": f"printed {printed_at(clock.now())}",
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
    at_least = "" if times.is_whole else "at least "
    words = f"{at_least}{format_duration(times.needed_s)}"
    over = found.over_s
    if over is not None:
        words += f" of {format_duration(there_s)}: "
        words += "exactly" if over == 0 else f"{format_duration(abs(over))} "
        words += "" if over == 0 else "over" if over > 0 else "left"
    return f"{words[:1].upper()}{words[1:]}. One after another: {format_duration(times.sum_s)}."


def hands_words(found: ChangeoverNow) -> str:
    """“Lise 8:00, Bo 6:30”: what each has to do, the longest first."""
    return ", ".join(f"{who} {format_duration(seconds)}" for who, seconds in found.hands)


def _row(step: StepNow) -> list[Any]:
    planned = step.step.planned_s
    alone = "" if step.step.side_by_side else "all wait"
    return [
        str(step.number),
        step.step.words,
        step.place,
        step.who,
        format_minutes(planned) or "?",
        ", ".join(filter(None, [format_duration(step.ends_s), alone])),
    ]
