"""More or less gain: every band alike."""

from __future__ import annotations

import numpy as np

from notes.causes.kind import Kind, Real, Size


def _sizes(hertz: Real) -> list[Size]:
    return [
        Size(db, f"{abs(db):.0f} dB {'more' if db > 0 else 'less'}", np.full(len(hertz), db))
        for db in (*np.arange(-18.0, -1.5, 1.0), *np.arange(2.0, 18.5, 1.0))
    ]


KIND = Kind(
    "gain",
    "Gain",
    _sizes,
    "Read the preamp gain and the pad against what is written, and listen with the faders alone.",
    keeps_level=True,
    # It does nothing else.
    loose=(0.15, 0.15, 0.5, 0.15, 0.5),
    fields=(("input", "gain"), ("input", "pad")),
)
