"""The difference, the scatter of takes as a band, and the curves of the first causes over it."""

from __future__ import annotations

import numpy as np
from django.utils.translation import gettext as _

from core.languages.words import apart, told
from notes.causes.hearing import hertz
from notes.causes.rank import Ranking
from notes.causes.words import differences, named
from rigs.drawing.axes import Axes, Curve, plot
from rigs.drawing.svg import Node, node

_DRAWN = 2


def difference(ranking: Ranking) -> str:
    """As SVG; the page has it in words."""
    heard = np.isfinite(ranking.change)
    at, shape = hertz()[heard], (ranking.change - ranking.level)[heard]
    band = np.minimum(ranking.band[heard], 30.0)
    curves = [Curve(_("Tonight less the signed sound"), at.tolist(), shape.tolist())]
    for cause in [each for each in ranking.causes if each.size][:_DRAWN]:
        assert cause.size is not None  # noqa: S101 - those alone are asked for
        curve = cause.size.bands[heard]
        # Its level is free, so that the curve lies where it fits best.
        curve = curve - np.median(curve - shape)
        curves.append(Curve(told(named(cause))[:46], at.tolist(), curve.tolist()))
    reach = 12.0 if len(shape) == 0 or np.abs(shape).max() <= 12 else 24.0  # noqa: PLR2004
    axes = Axes(40, 16e3, -reach, reach, step=reach / 4, curves=len(curves))
    words = apart(told(each) for each in differences(ranking))
    return plot(
        axes,
        curves,
        behind=[_shade(axes, at.tolist(), band.tolist())] if len(at) else [],
        title=_("What differs, and what could do it"),
        desc=_described(words),
    )


def _described(words: str) -> str:
    if not words:
        return _(
            "Tonight against the signed sound: nothing beyond what takes differ in. Shaded: how "
            "takes differ by themselves."
        )
    return _(
        "Tonight against the signed sound: {differences}. Shaded: how takes differ by themselves."
    ).format(differences=words)


def _shade(axes: Axes, at: list[float], band: list[float]) -> Node:
    upper = [f"{axes.x(x)},{axes.y(y)}" for x, y in zip(at, band, strict=True)]
    lower = [f"{axes.x(x)},{axes.y(-y)}" for x, y in zip(at, band, strict=True)]
    return node(
        "polygon",
        points=" ".join(upper + lower[::-1]),
        fill="currentColor",
        fill_opacity=0.25,
        class_="plot-band",
    )
