"""More or less gain: every band alike."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size

_MORE, _LESS = gettext_noop("{db:.0f} dB more"), gettext_noop("{db:.0f} dB less")


def _sizes(hertz: Real) -> list[Size]:
    return [
        Size(db, Said(_MORE if db > 0 else _LESS, db=abs(float(db))), np.full(len(hertz), db))
        for db in (*np.arange(-18.0, -1.5, 1.0), *np.arange(2.0, 18.5, 1.0))
    ]


KIND = Kind(
    "gain",
    Said(gettext_noop("Gain")),
    _sizes,
    Said(
        gettext_noop(
            "Read the preamp gain and the pad against what is written, and listen with the "
            "faders alone."
        )
    ),
    keeps_level=True,
    # It does nothing else.
    loose=(0.15, 0.15, 0.5, 0.15, 0.5),
    fields=(("input", "gain"), ("input", "pad")),
)
