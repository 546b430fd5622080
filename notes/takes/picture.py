"""A recording to look at: how much of the band plays when, and where its takes are. SVG text."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from notes.clips.times import format_time
from notes.models import Recording, Take
from notes.takes.find import playing
from notes.takes.levels import Levels
from rigs.drawing.svg import Node, node, picture

_WIDTH, _HEIGHT, _BAR = 720.0, 84.0, 14.0
_MOST = 240  # strokes: more than the eye parts


def drawn(recording: Recording, takes: Sequence[Take], levels: Sequence[Levels]) -> str:
    """Strokes as high as much of the band plays; below them a bar for each take."""
    length = max(1.0, float(recording.seconds))
    floor = _HEIGHT - _BAR - 6
    children: list[Node] = [_strokes(levels, length, floor)]
    for take in takes:
        left = float(take.starts_s) / length * _WIDTH
        width = max(1.5, float(take.seconds) / length * _WIDTH - 1)
        children.append(
            node(
                "rect",
                node(
                    "title",
                    _("{take}, {start} to {end}").format(
                        take=take,
                        start=format_time(take.starts_s),
                        end=format_time(take.ends_s),
                    ),
                ),
                x=round(left, 1),
                y=_HEIGHT - _BAR,
                width=round(width, 1),
                height=_BAR,
                rx=2,
                class_="take-bar is-said" if take.by_id else "take-bar",
            )
        )
    words = ngettext(
        "{recording}: {n} take in {length}", "{recording}: {n} takes in {length}", len(takes)
    ).format(recording=recording, n=len(takes), length=format_time(recording.seconds))
    return picture(
        _WIDTH,
        _HEIGHT,
        children,
        title=words,
        desc=_("The list below says the same."),
        class_="drawing take-picture",
    ).render()


def _strokes(levels: Sequence[Levels], length: float, floor: float) -> Node:
    evidence = playing(levels)
    shown = np.zeros(1) if evidence is None else evidence
    size = max(1, math.ceil(len(shown) / _MOST))
    parts, step = [], _WIDTH / length / 2 * size  # two of them a second
    for at in range(0, len(shown), size):
        high = max(1.0, float(shown[at : at + size].mean()) * floor)
        x = min(_WIDTH, (at / size + 0.5) * step)
        parts.append(f"M{x:.1f} {floor:g}V{floor - high:.1f}")
    return node(
        "path",
        d="".join(parts),
        stroke="currentColor",
        stroke_width=round(step * 0.7, 2),
        class_="take-strokes",
    )
