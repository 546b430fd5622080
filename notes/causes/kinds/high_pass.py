"""A high-pass in, out, or at another corner."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.filters import butterworth_db


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for corner in (80, 100, 125, 160, 200, 250, 315, 400):
        for order in (2, 3, 4):
            curve = np.maximum(butterworth_db(hertz, corner, order, "highpass"), -40.0)
            out.append(
                Size(corner, Said(gettext_noop("in, at {hertz} Hz"), hertz=corner), curve, way="in")
            )
            out.append(
                Size(
                    corner,
                    Said(gettext_noop("out, was at {hertz} Hz"), hertz=corner),
                    -curve,
                    way="out",
                )
            )
    return out


KIND = Kind(
    "high_pass",
    Said(gettext_noop("High-pass")),
    _sizes,
    Said(gettext_noop("Look at the high-pass of the channel, of the microphone and of the DI.")),
    fields=(("input", "high_pass"),),
)
