"""Answers to questions: words, tables and drawings, ready to show. Pure.

Drawings show before and after as two curves: the solid one is after, the dashed one before.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import pgettext, pgettext_lazy

from core.languages import words
from core.limits import is_at
from rigs.cautions import Caution
from rigs.drawing.axes import Axes, Curve, LevelAxes, plot
from rigs.drawing.svg import Node, fit, node
from rigs.signal import combs, pickups
from rigs.signal.air import OCTAVE_BANDS

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

NOW_THEN = (
    "",
    pgettext_lazy("what if", "Now"),
    pgettext_lazy("what if", "Then"),
)


class Subject(NamedTuple):
    """What a question is about: the id of a part (or show) and its words."""

    id: str
    label: str


class ProposedValue(NamedTuple):
    """A value for the field of the rig that would make the answer true.

    `kind` is the kind of the part, `part` its id, and `value` is spelled as in a form.
    """

    kind: str
    part: str
    field: str
    value: str


class Table(NamedTuple):
    """A table; rows have as many cells as there are columns, the first of which names the row."""

    caption: str
    columns: tuple[StrOrPromise, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class WhatIfAnswer:
    """The answer to a question, ready to show.

    `problems` say what is not known and is therefore not worked out. `proposal` is the one field of
    the rig that would make the answer true, where there is one.
    """

    words: str = ""
    tables: tuple[Table, ...] = ()
    problems: tuple[str, ...] = ()
    assumes: tuple[str, ...] = ()
    drawing: str = ""
    proposal: ProposedValue | None = None
    caution: Caution | None = None
    further: tuple[str, ...] = ()  # drawings below the first


def number(value: float, unit: str, places: int = 1, sign: bool = False) -> str:
    """A number as text, “−4.1 dB”, with a true minus sign and never “−0.0”."""
    figure = words.signed(value, places) if sign else words.number(value, places)
    return f"{figure} {unit}".strip()


def number_beside(value: float, limit: float, unit: str, places: int = 1) -> str:
    """Like `number`, but never rounded onto a limit that is not reached.

    Such are “100.3 %” and “just over 100 %”. A value within a millionth of the limit counts as the
    limit.
    """
    if is_at(value, limit):
        return number(limit, unit, places)
    # One more digit often shows the side of the limit; words say it where even that does not.
    for more in (places, places + 1):
        if float(f"{value:.{more}f}") != limit:
            return number(value, unit, more)
    words = _("just over {limit}") if value > limit else _("just under {limit}")
    return words.format(limit=number(limit, unit, 0))


def hertz(value: float | None, none: str) -> str:
    """A frequency as text: “82.4 Hz”, “343 Hz”, “4.05 kHz”; `none` where there is none."""
    if value is None:
        return none
    if value >= 1000:
        return number(value / 1000, "kHz", 2)
    # As a figure of a finding reads: “50 Hz”, not “50.0 Hz”.
    places = 0 if value >= 100 or f"{value:.1f}".endswith(".0") else 1
    return number(value, "Hz", places)


_LEGEND = 44  # columns
_POINTS = 240


def air_plot(losses: Mapping[str, Mapping[str, float]], *, title: str, desc: str) -> str:
    """The SVG of dB lost to the air by octave band, by name of the room; the first is solid."""
    hertz = list(OCTAVE_BANDS.values())
    deepest = max(max(bands.values()) for bands in losses.values())
    # At most six lines across the plot.
    step = next((s for s in (1, 2, 3, 6, 12, 24, 60) if deepest / s <= 6), deepest / 5)
    bottom = -step * max(math.ceil(deepest / step), 1)
    axes = Axes(50, 10e3, bottom, 0, step, curves=len(losses))
    curves = [
        Curve(fit(name, _LEGEND), hertz, [-bands[band] for band in OCTAVE_BANDS])
        for name, bands in losses.items()
    ]
    points = [_point(axes, hz, y) for hz, y in zip(hertz, curves[0].levels, strict=True)]
    return plot(axes, curves, title=title, desc=desc, behind=points, level_words=_("dB, air only"))


def _point(axes: Axes, hertz: float, level: float) -> Node:
    return node("circle", cx=axes.x(hertz), cy=axes.y(level), r=3.5, fill="currentColor")


def pickup_plot(
    now: pickups.PickupCircuit, then: pickups.PickupCircuit, *, title: str, desc: str
) -> str:
    """The SVG of the level at the input against the coil's own voltage, 50 Hz to 20 kHz."""
    grid = _grid(50, 20e3, _POINTS)
    responses = [_floats(pickups.response_db(np.asarray(grid), circuit)) for circuit in (then, now)]
    top = 6 * math.ceil(max(max(responses[0]), max(responses[1]), 1) / 6)
    axes = Axes(50, 20e3, -24, top, 6, curves=2)
    # The first curve is the one that is drawn solid.
    curves = [
        Curve(pgettext("curve", "then"), grid, responses[0]),
        Curve(pgettext("curve", "now"), grid, responses[1]),
    ]
    return plot(axes, curves, title=title, desc=desc, level_words=_("dB against the coil"))


def rise_plot(curves: Mapping[str, Sequence[float]], *, title: str, desc: str) -> str:
    """The SVG of rises in dB at the frequencies of `LOW_GRID`; the first curve is solid."""
    peak = max(max(levels) for levels in curves.values())
    step = 6 if peak <= 36 else 12
    # Lines are drawn from the top down, and one of them has to be 0.
    top = step * max(math.ceil(peak / step), 1)
    axes = Axes(LOW_GRID[0], LOW_GRID[-1], 0, top, step, curves=len(curves))
    lines = [Curve(words, LOW_GRID, levels) for words, levels in curves.items()]
    return plot(axes, lines, title=title, desc=desc, level_words=_("dB against a far source"))


def comb_plot(now: float, then: float, inverted: bool, *, title: str, desc: str) -> str:
    """The SVG of two equal paths added, `now` and `then` seconds apart."""
    longest = max(now, then)
    # Six teeth of the longer delay: beyond them a curve on a small screen is a grey block.
    high = 20e3 if longest <= 0 else min(max(6 / longest, 200.0), 20e3)
    grid = _grid(20, high, 2 * _POINTS)
    curves = [
        Curve(words, grid, _floats(combs.response_db(np.asarray(grid), delay, 0.0, inverted)))
        for words, delay in ((pgettext("curve", "then"), then), (pgettext("curve", "now"), now))
    ]
    axes = Axes(20, high, -24, 6, 6, curves=2)
    return plot(axes, curves, title=title, desc=desc, level_words=_("dB against one path alone"))


def compression_plot(
    curves: Mapping[str, tuple[Sequence[float], Sequence[float]]], *, title: str, desc: str
) -> str:
    """The SVG of levels out against levels in, in dB; the first curve is solid."""
    into = [level for levels, _ in curves.values() for level in levels]
    out = [level for _, levels in curves.values() for level in levels]
    low, high = min(into), max(into)
    top = max(10 * math.ceil(max(out) / 10), high)
    axes = LevelAxes(low, high, low, top, 10, curves=len(curves))
    lines = [Curve(words, levels, levels_out) for words, (levels, levels_out) in curves.items()]
    return plot(axes, lines, title=title, desc=desc, level_words=_("dB out"))


def _grid(low: float, high: float, count: int) -> list[float]:
    return [float(hz) for hz in np.geomspace(low, high, count)]


def _floats(levels: Iterable[float]) -> list[float]:
    return [float(level) for level in levels]


LOW_GRID = _grid(20, 2000, 120)
