"""The top end turned up or down by a tone control."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size

_UP, _DOWN = gettext_noop("{db:g} dB up"), gettext_noop("{db:g} dB down")


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for corner in (1500, 2500, 4000, 6000):
        # A shelf of first order: 1 below the corner, the whole of it two octaves above.
        x = (hertz / corner) ** 2
        for db in (-12, -9, -6, -4, -2.5, 2.5, 4, 6, 9, 12):
            curve = 10 * np.log10((1 + x * 10 ** (db / 10)) / (1 + x))
            way = "up" if db > 0 else "down"
            out.append(
                Size(
                    db,
                    Said(_UP if db > 0 else _DOWN, db=float(abs(db))),
                    np.asarray(curve),
                    way=way,
                )
            )
    return out


KIND = Kind(
    "top_end",
    Said(gettext_noop("Top end: tone control")),
    _sizes,
    Said(
        gettext_noop(
            "Read the tone controls against the recall sheet; a microphone off the axis does the "
            "same."
        )
    ),
    controls=("treble", "tone", "presence", "high", "bright"),
)
