"""Pictures of clips side by side: outlines, spectra, differences. The page has their numbers, too.

Nothing is told by colour: spectra by their dashes, bands that count by being filled.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from core.languages.words import apart, leading, number, told
from notes.comparing.measure import COLUMNS_PER_S
from notes.comparing.sides import Side, SideBySide
from notes.listening.bands import edges, midbands
from rigs.drawing.axes import Axes, Curve, plot
from rigs.drawing.svg import Node, node, picture

_COLUMNS, _HEIGHT = 240, 48
QUIET = 10 ** (-20 / 20)  # 20 dB below the highest: common practice, no source
_LEAST_QUIET_S = 0.3


def wave(side: Side) -> str:
    """The outline of what is heard, as loud as it is played, as SVG that stretches to its box."""
    gain = 10 ** (side.gain_db / 20)
    starts = np.unique(np.linspace(0, len(side.columns), _COLUMNS, endpoint=False).astype(int))
    low = np.minimum.reduceat(side.columns[:, 0], starts) * gain
    high = np.maximum.reduceat(side.columns[:, 1], starts) * gain
    xs = np.linspace(0, _COLUMNS, len(starts))
    upper = [f"{x:.0f} {_y(value)}" for x, value in zip(xs, high, strict=True)]
    lower = [f"{x:.0f} {_y(value)}" for x, value in zip(xs, low, strict=True)]
    line = "M" + "L".join(upper + lower[::-1]) + "Z"
    path = node("path", d=line, fill="currentColor", stroke="currentColor", stroke_width=0.5)
    drawn = picture(
        _COLUMNS,
        _HEIGHT,
        [path],
        title=outline_in_words(side),
        class_="drawing wave-drawing",
    )
    # Time takes the width that the page has; the height stays.
    return replace(drawn, attributes=drawn.attributes | {"preserveAspectRatio": "none"}).render()


def outline_in_words(side: Side) -> str:
    """What the outline shows: where it is loudest as it is played, and where it is quiet."""
    peaks = np.abs(side.columns).max(axis=1) * 10 ** (side.gain_db / 20)
    at, highest = int(peaks.argmax()), float(peaks.max())
    if highest <= 0:
        return _("Waveform of {clip}: nothing in the time that all have in common").format(
            clip=side.letter
        )
    figures = {
        "clip": side.letter,
        "at": number(at / COLUMNS_PER_S, 1),
        "level": number(20 * float(np.log10(highest)), 1),
    }
    quiet = _longest(peaks < highest * QUIET)
    if quiet[1] - quiet[0] < COLUMNS_PER_S * _LEAST_QUIET_S:
        return _(
            "Waveform of {clip}: highest at {at} s, {level} dBFS as it is played; nowhere quiet "
            "for long"
        ).format(**figures)
    start, end = (number(edge / COLUMNS_PER_S, 1) for edge in quiet)
    return _(
        "Waveform of {clip}: highest at {at} s, {level} dBFS as it is played; quiet from {start} "
        "to {end} s"
    ).format(**figures, start=start, end=end)


def _longest(marks: NDArray[np.bool_]) -> tuple[int, int]:
    """First and one past the last of the longest run of marks; (0, 0) for none."""
    turns = np.flatnonzero(np.diff(np.concatenate([[0], marks.astype(np.int8), [0]])))
    runs = list(zip(turns[::2], turns[1::2], strict=True))
    start, end = max(runs, key=lambda run: run[1] - run[0], default=(0, 0))
    return int(start), int(end)


def _y(value: float) -> str:
    return f"{_HEIGHT / 2 * (1 - min(1.0, max(-1.0, value))):.1f}"


def spectra(comparison: SideBySide) -> str:
    """1/3-octave levels of all clips as they are played."""
    played = [side.heard.bands.levels + side.gain_db for side in comparison.sides]
    highest = max(float(levels.max()) for levels in played)
    top = 10 * float(np.ceil(highest / 10))
    axes = Axes(20, 20e3, top - 70, top, step=10, curves=len(comparison.sides))
    curves = []
    for side, levels in zip(comparison.sides, played, strict=True):
        finite = np.isfinite(levels)
        curves.append(
            Curve(
                _fitting(leading(side.letter, side.clip)),
                midbands()[finite].tolist(),
                levels[finite].tolist(),
            )
        )
    return plot(
        axes,
        curves,
        title=_("Level in each third of an octave, as played"),
        level_words="dBFS",
        desc=_("The numbers stand in the table below."),
    )


def _fitting(words: str) -> str:
    """As much of a name as the legend has room for, counting capitals as wide."""
    room = 44.0
    for at, letter in enumerate(words):
        room -= 2 if letter in "MW@%" else 1.5 if letter.isupper() or letter in "mw" else 1
        if room < 0:
            return f"{words[:at]}…"
    return words


def difference(side: Side) -> str:
    """A bar for each band: filled where the difference counts, hollow where it does not."""
    reading = side.reading
    if reading is None:
        raise ValueError("the first clip has nothing to differ from")
    described = reading.counted
    largest = float(np.nanmax(np.abs(described))) if np.isfinite(described).any() else 0.0
    # One of two scales, so that bars of several clips can usually be compared by eye.
    reach = 12.0 if largest <= 12 else 24.0
    axes = Axes(20, 20e3, -reach, reach, step=reach / 4, curves=0)
    bars = [
        _bar(axes, low, high, float(value), bool(counts))
        for low, high, value, counts in zip(
            *edges(), reading.change, np.isfinite(described), strict=True
        )
        if np.isfinite(value)
    ]
    words = apart(told(each) for each in reading.words) or _("nothing that counts")
    return plot(
        axes,
        [],
        behind=bars,
        title=_("{clip} against A, as played").format(clip=side.letter),
        level_words="dB",
        desc=_("{clip} against A: {differences}.").format(clip=side.letter, differences=words),
    )


def _bar(axes: Axes, low: float, high: float, value: float, counts: bool) -> Node:
    left, right = axes.x(low) + 0.7, axes.x(high) - 0.7
    zero, end = axes.y(0), axes.y(value)
    return node(
        "rect",
        x=round(left, 1),
        y=min(zero, end),
        width=round(right - left, 1),
        height=round(abs(end - zero), 1),
        stroke="currentColor",
        stroke_width=1,
        # Filled, hollow and dashed, because colour alone must not tell what counts.
        fill="currentColor" if counts else "none",
        fill_opacity=0.7 if counts else None,
        stroke_dasharray=None if counts else "2 2",
        class_="difference-bar",
    )
