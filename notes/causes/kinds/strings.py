"""Old strings, or new ones: the highs are weaker and die sooner after each stroke."""

from __future__ import annotations

import numpy as np

from notes.causes.kind import Kind, Real, Size


def _sizes(hertz: Real) -> list[Size]:
    octaves = np.maximum(0.0, np.log2(hertz / 1000))
    out = []
    for slope in (1.0, 2.0, 3.5):
        for sign, way in ((-1, "old"), (1, "new")):
            out.append(
                Size(
                    sign * slope,
                    f"{slope:g} dB an octave {'less' if sign < 0 else 'more'} above 1 kHz",
                    sign * slope * octaves,
                    (0.0, 0.0, -sign * 2.0 * slope, 0.0, 0.0),
                    way,
                )
            )
    return out


KIND = Kind(
    "strings",
    "Old strings, or new ones",
    _sizes,
    "Ask when they were changed; play one open string and hear how long its top lasts.",
    fields=(("unit", "strings"), ("tuning", "")),
)
