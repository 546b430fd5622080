"""Driven further into its limit: peaks are cut off, and harmonics fill the top."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size

_LOWER, _HIGHER = (
    gettext_noop("peaks {db:g} dB lower"),
    gettext_noop("peaks {db:g} dB higher"),
)


def _sizes(hertz: Real) -> list[Size]:
    octaves = np.maximum(0.0, np.log2(hertz / 1000))
    return [
        Size(
            sign * db,
            Said(_LOWER if sign > 0 else _HIGHER, db=db),
            sign * slope * octaves,
            (-sign * db, -sign * 0.4 * db, 0.0, -sign * 0.6 * db, 0.0),
            "more" if sign > 0 else "less",
        )
        for db in (2.0, 4.0, 7.0, 10.0)
        for slope in (0.7, 2.0, 4.0)
        for sign in (-1, 1)
    ]


KIND = Kind(
    "clipping",
    Said(gettext_noop("Clipping, or more drive")),
    _sizes,
    Said(gettext_noop("Look at the clip lights of preamp and DI, and turn down what comes first.")),
    fields=(("input", "gain"), ("input", "pad")),
    controls=("drive", "gain", "overdrive", "distortion", "fuzz", "pre"),
    loose=(1.5, 1.5, 2.5, 0.5, 1.0),
    loose_bands=1.2,
)
