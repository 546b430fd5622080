"""Axes of a plot of level over frequency or over level: grid, ticks, curves told apart by dash.

All colour is currentColor, so that a plot reads in the dark, in the light and on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from core.languages.words import number, signed
from rigs.drawing.svg import Node, node, picture, text

WIDTH, HEIGHT = 360.0, 270.0
LEFT, RIGHT, TOP, LEGEND, BELOW = 38.0, 12.0, 10.0, 20.0, 46.0
DASHES = (None, "7 5", "2 4", "12 4 2 4", "12 3", "7 3 2 3 2 3")
_TICKS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)


@dataclass(frozen=True, slots=True)
class Curve:
    """Levels in dB at frequencies in Hz (or at levels in dB), with the words of its legend."""

    words: str
    at: Sequence[float]
    levels: Sequence[float]


@dataclass(frozen=True, slots=True)
class Axes:
    """Frequency from `low` to `high` Hz, logarithmic; level from `bottom` to `top` dB."""

    low: float
    high: float
    bottom: float
    top: float
    step: float = 6.0
    curves: int = 1

    @property
    def height(self) -> float:
        # A long legend makes the picture higher, because it would press the curves flat otherwise.
        return HEIGHT + LEGEND * max(0, self.curves - 3)

    @property
    def floor(self) -> float:
        return self.height - BELOW - LEGEND * self.curves

    @property
    def ticks(self) -> list[tuple[float, str]]:
        """Where the upright lines stand, and what is written below each."""
        return [(hertz, _short(hertz)) for hertz in _TICKS if self.low <= hertz <= self.high]

    @property
    def across_words(self) -> str:
        return "Hz"

    def share(self, at: float) -> float:
        """How far along the axis `at` lies, 0 to 1 within it."""
        return math.log(at / self.low) / math.log(self.high / self.low)

    def x(self, at: float) -> float:
        # A tenth of a unit is finer than can be seen, and keeps the page small.
        return round(LEFT + min(max(self.share(at), 0.0), 1.0) * (WIDTH - LEFT - RIGHT), 1)

    def y(self, level: float) -> float:
        clipped = min(max(level, self.bottom), self.top)  # a full cancellation is −∞ dB
        share = (self.top - clipped) / (self.top - self.bottom)
        return round(TOP + share * (self.floor - TOP), 1)

    def band(self, low: float, high: float) -> Node:
        """A shaded band from `low` to `high` Hz, over the whole height of the plot."""
        left, right = self.x(low), self.x(high)
        return node(
            "rect",
            x=left,
            y=TOP,
            width=round(right - left, 1),
            height=self.floor - TOP,
            fill="currentColor",
            fill_opacity=0.1,
            class_="plot-band",
        )

    def mark(self, hertz: float, words: str, row: int = 0) -> Node:
        """A vertical line with words at its head, on the side where there is room."""
        x = self.x(hertz)
        right = x > WIDTH - 95
        return node(
            "g",
            node(
                "line",
                x1=x,
                x2=x,
                y1=TOP,
                y2=self.floor,
                stroke="currentColor",
                stroke_width=1,
                class_="plot-mark",
            ),
            text(
                words,
                x - 5 if right else x + 5,
                self.floor - 8 - 15 * row,
                size=13,
                text_anchor="end" if right else "start",
            ),
        )


@dataclass(frozen=True, slots=True)
class LevelAxes(Axes):
    """Input level from `low` to `high` dB, linear; output level from `bottom` to `top` dB."""

    @property
    def ticks(self) -> list[tuple[float, str]]:
        first = math.ceil(self.low / self.step)
        steps = range(first, math.floor(self.high / self.step) + 1)
        return [(self.step * at, _signed(self.step * at)) for at in steps]

    @property
    def across_words(self) -> str:
        return _("dB in")

    def share(self, at: float) -> float:
        return (at - self.low) / (self.high - self.low)


def plot(
    axes: Axes,
    curves: Sequence[Curve],
    *,
    title: str,
    desc: str,
    behind: Sequence[Node] = (),
    level_words: str = "dB",
) -> str:
    """The whole plot as SVG text; `desc` carries the numbers for whoever does not see it."""
    children = [
        *behind,
        *_grid(axes),
        _axis_words(axes, level_words),
        *(_line(axes, curve, at) for at, curve in enumerate(curves)),
        *(_legend(axes, curve, at) for at, curve in enumerate(curves)),
    ]
    drawn = picture(WIDTH, axes.height, children, title=title, desc=desc, class_="drawing plot")
    return drawn.render()


def _grid(axes: Axes) -> list[Node]:
    ticks = axes.ticks
    lines = [_rule(axes.x(at), axes.x(at), TOP, axes.floor) for at, _ in ticks]
    words = [text(label, axes.x(at), axes.floor + 16, size=12) for at, label in ticks]
    level = axes.top
    while level >= axes.bottom:
        lines.append(_rule(LEFT, WIDTH - RIGHT, axes.y(level), axes.y(level), bold=level == 0))
        beside = axes.y(level) + 4
        words.append(text(_signed(level), LEFT - 6, beside, size=12, text_anchor="end"))
        level -= axes.step
    return lines + words


def _rule(x1: float, x2: float, y1: float, y2: float, bold: bool = False) -> Node:
    return node(
        "line",
        x1=x1,
        x2=x2,
        y1=y1,
        y2=y2,
        stroke="currentColor",
        stroke_width=1,
        stroke_opacity=0.6 if bold else 0.2,
        class_="plot-grid",
    )


def _axis_words(axes: Axes, level_words: str) -> Node:
    return node(
        "g",
        text(axes.across_words, WIDTH - RIGHT, axes.floor + 34, size=12, text_anchor="end"),
        text(level_words, LEFT, axes.floor + 34, size=12, text_anchor="start"),
    )


def _line(axes: Axes, curve: Curve, place: int) -> Node:
    points = " ".join(
        f"{axes.x(at)},{axes.y(level)}" for at, level in zip(curve.at, curve.levels, strict=True)
    )
    return node(
        "polyline",
        points=points,
        fill="none",
        stroke="currentColor",
        stroke_width=2,
        stroke_dasharray=DASHES[place % len(DASHES)],
        stroke_linejoin="round",
        class_="plot-line",
    )


def _legend(axes: Axes, curve: Curve, at: int) -> Node:
    y = axes.floor + BELOW + LEGEND * at + 10
    return node(
        "g",
        node(
            "line",
            x1=LEFT,
            x2=LEFT + 34,
            y1=y - 4,
            y2=y - 4,
            stroke="currentColor",
            stroke_width=2,
            stroke_dasharray=DASHES[at % len(DASHES)],
            class_="plot-line",
        ),
        text(curve.words, LEFT + 42, y, size=13, text_anchor="start"),
    )


def _short(hertz: float) -> str:
    return f"{number(hertz / 1000)}k" if hertz >= 1000 else number(hertz)


def _signed(level: float) -> str:
    return signed(level)
