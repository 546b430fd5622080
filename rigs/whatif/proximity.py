"""What coming nearer does to the low end of a microphone that hears a pressure gradient. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import apart
from core.limits import at_least
from rigs.signal.air import speed_of_sound
from rigs.signal.microphones import proximity_rise_db
from rigs.whatif.answers import LOW_GRID, hertz, number, rise_plot

SHOWN_HZ = (50.0, 100.0, 200.0)
ASSUMES = gettext_lazy(
    "Proximity effect: the most that it can be. It is that of a small source "
    "on the axis; close to a cone, a drum or a bell that is wide against the "
    "distance it is less, and most makers turn the lows of a close "
    "microphone down. Its sheet has the curve of its own."
)
NO_PATTERN = gettext_lazy(
    "The proximity effect cannot be worked out: the microphone states no "
    "pattern, or one that is not a simple one. Any microphone that is not "
    "omnidirectional has more lows close up."
)
NONE = gettext_lazy("An omnidirectional microphone has no proximity effect: its low end stays.")
# A change that is not worth a sentence. Common practice, no source.
_LEAST_DB = 0.5


@dataclass(frozen=True, slots=True)
class Proximity:
    """The part of an answer that is about the low end; empty where there is nothing to say."""

    words: str = ""
    rows: tuple[tuple[str, ...], ...] = ()
    problems: tuple[str, ...] = ()
    assumes: tuple[str, ...] = ()
    drawings: tuple[str, ...] = ()


def change(now: float, then: float, celsius: float, gradient: float | None) -> Proximity:
    """The change of the low end from one distance in m to another; empty where one of them is 0."""
    if now <= 0 or then <= 0:
        return Proximity()
    if gradient is None:
        return Proximity(problems=(str(NO_PATTERN),))
    if gradient == 0:
        return Proximity(words=str(NONE))
    speed = float(speed_of_sound(celsius))
    rises = {hz: _both(hz, now, then, speed, gradient) for hz in SHOWN_HZ}
    rows = tuple(
        (
            _("Proximity effect at {frequency}").format(frequency=hertz(hz, "")),
            *(number(db, "dB", sign=True) for db in both),
        )
        for hz, both in rises.items()
    )
    return Proximity(
        _words(*rises[100.0]), rows, (), (str(ASSUMES),), (_plot(rows, now, then, speed, gradient),)
    )


def _both(hz: float, now: float, then: float, speed: float, gradient: float) -> tuple[float, float]:
    before, after = (float(proximity_rise_db(hz, r, speed, gradient)) for r in (now, then))
    return before, after


def _words(before: float, after: float) -> str:
    rise = after - before
    if not at_least(abs(rise), _LEAST_DB):
        return _("The low end stays as it is against the rest.")
    words = (
        _(
            "Proximity effect: up to {level} more at 100 Hz against the rest, on top of the change "
            "in level."
        )
        if rise > 0
        else _(
            "Proximity effect: up to {level} less at 100 Hz against the rest, on top of the change "
            "in level."
        )
    )
    return words.format(level=number(abs(rise), "dB"))


def _plot(
    rows: tuple[tuple[str, ...], ...], now: float, then: float, speed: float, gradient: float
) -> str:
    grid = np.asarray(LOW_GRID)
    curves = {
        words: [float(db) for db in proximity_rise_db(grid, r, speed, gradient)]
        for words, r in ((pgettext("curve", "then"), then), (pgettext("curve", "now"), now))
    }
    described = apart(
        _("at {frequency} {before} now, {after} then").format(
            frequency=hertz(hz, ""), before=before, after=after
        )
        for hz, (_name, before, after) in zip(SHOWN_HZ, rows, strict=True)
    )
    return rise_plot(curves, title=_("Proximity effect, now and then"), desc=f"{described}.")
