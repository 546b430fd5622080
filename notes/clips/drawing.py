"""A clip to look at: its outline in time, its spectrum. SVG text; colours are the page's."""

from __future__ import annotations

import math
from collections.abc import Sequence

from django.utils.translation import gettext as _

from notes.listening.bands import NOMINAL
from rigs.drawing.axes import Axes, Curve, plot
from rigs.drawing.svg import node, picture

_WIDTH, _HEIGHT = 360.0, 56.0
_MOST = 180  # strokes: more than the eye parts, and 64 channels must fit a page
_DEEP = 60  # dB below the loudest band that are drawn


def outline(points: Sequence[int], *, full: int, words: str) -> str:
    """The peaks of a sound's stretches, mirrored; `full` is the value at full height."""
    shown = _fewer(points)
    middle, width = _HEIGHT / 2, _WIDTH / max(1, len(shown))
    parts = []
    for at, value in enumerate(shown):
        # Never nothing: silence is drawn as a line.
        half = max(0.5, min(1.0, value / full) * (middle - 1))
        x = round((at + 0.5) * width, 1)
        parts.append(f"M{x:g} {middle - half:.1f}V{middle + half:.1f}")
    path = node(
        "path",
        d="".join(parts),
        stroke="currentColor",
        stroke_width=round(width * 0.7, 2),
        class_="clip-outline",
    )
    return picture(_WIDTH, _HEIGHT, [path], title=words, class_="drawing clip-wave").render()


def _fewer(points: Sequence[int]) -> list[int]:
    size = max(1, math.ceil(len(points) / _MOST))
    return [max(points[at : at + size]) for at in range(0, len(points), size)]


def spectrum(levels: Sequence[float | None], *, title: str) -> str:
    """Levels of the third-octave bands in dBFS; empty text where there are none."""
    shown = [(hz, level) for hz, level in zip(NOMINAL, levels, strict=True) if level is not None]
    if len(shown) < 2:
        return ""
    loudest_hz, loudest = max(shown, key=lambda each: each[1])
    top = math.ceil(loudest / 12) * 12
    bottom = top - _DEEP
    shown = [(hz, max(level, bottom)) for hz, level in shown]
    curve = Curve(
        _("third-octave bands"), [hz for hz, _level in shown], [level for _hz, level in shown]
    )
    desc = _("The loudest band is that of {loudest_hz} Hz. Every level is in the table.").format(
        loudest_hz=f"{loudest_hz:g}"
    )
    axes = Axes(20, 20e3, bottom, top, step=12)
    return plot(axes, [curve], title=title, desc=desc, level_words=_("dB below full scale"))
