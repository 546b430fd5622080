"""A low-pass in, out, or at another corner."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.filters import butterworth_db


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for corner in (1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000):
        for order in (2, 3, 4):
            curve = np.maximum(butterworth_db(hertz, corner, order, "lowpass"), -30.0)
            at = corner / 1000
            out.append(
                Size(
                    corner,
                    Said(gettext_noop("in, at {kilohertz:.3g} kHz"), kilohertz=at),
                    curve,
                    way="in",
                )
            )
            out.append(
                Size(
                    corner,
                    Said(gettext_noop("out, was at {kilohertz:.3g} kHz"), kilohertz=at),
                    -curve,
                    way="out",
                )
            )
    return out


KIND = Kind(
    "low_pass",
    Said(gettext_noop("Low-pass")),
    _sizes,
    Said(
        gettext_noop(
            "Look at the low-pass of the channel and at any filter of the loudspeaker simulation."
        )
    ),
    fields=(("input", "low_pass"),),
)
