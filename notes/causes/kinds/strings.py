"""Old strings, or new ones: the highs are weaker and die sooner after each stroke."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size

_LESS, _MORE = (
    gettext_noop("{db:g} dB an octave less above 1 kHz"),
    gettext_noop("{db:g} dB an octave more above 1 kHz"),
)


def _sizes(hertz: Real) -> list[Size]:
    octaves = np.maximum(0.0, np.log2(hertz / 1000))
    out = []
    for slope in (1.0, 2.0, 3.5):
        for sign, way in ((-1, "old"), (1, "new")):
            out.append(
                Size(
                    sign * slope,
                    Said(_LESS if sign < 0 else _MORE, db=slope),
                    sign * slope * octaves,
                    (0.0, 0.0, -sign * 2.0 * slope, 0.0, 0.0),
                    way,
                )
            )
    return out


KIND = Kind(
    "strings",
    Said(gettext_noop("Old strings, or new ones")),
    _sizes,
    Said(
        gettext_noop(
            "Ask when they were changed; play one open string and hear how long its top lasts."
        )
    ),
    fields=(("unit", "strings"), ("tuning", "")),
)
