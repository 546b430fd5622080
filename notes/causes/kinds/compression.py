"""A compressor in or out: loud and soft lie nearer together, peaks stand out less or more."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size

_IN, _OUT = gettext_noop("in, about {db:g} dB"), gettext_noop("out, about {db:g} dB")


def _sizes(hertz: Real) -> list[Size]:
    flat = np.zeros(len(hertz))
    return [
        Size(
            sign * db,
            Said(_IN if sign < 0 else _OUT, db=db),
            flat,
            (sign * db * crest, sign * db * (1.3 - crest), 0.0, sign * db * 0.2, 0.0),
            "in" if sign < 0 else "out",
        )
        for db in (0.8, 1.5, 3.0, 5.0, 8.0)
        for crest in (0.0, 0.3, 0.6, 0.9)
        for sign in (-1, 1)
    ]


KIND = Kind(
    "compression",
    Said(gettext_noop("Compressor")),
    _sizes,
    Said(
        gettext_noop(
            "Take the compressor out and listen, at the pedal board, in the amplifier and at the "
            "desk."
        )
    ),
    controls=("compress", "sustain", "threshold", "ratio", "limit"),
    loose=(0.6, 0.8, 2.0, 0.5, 0.5),
    loose_bands=1.2,
)
