"""Another microphone or DI: what their printed curves differ in most; few figures are known."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop, in_a_row
from notes.causes.kind import Kind, Real, Size

# Where such curves differ: a rise of presence, and how far the ends reach. Common practice, no
# source; the curve of one model is not asked yet.
_PRESENCE_HZ, _LOW_HZ, _TOP_HZ = 4500.0, 100.0, 9000.0

# Of each place: more of it, and less.
_WHERE = (
    (gettext_noop("{db:g} dB more round 4.5 kHz"), gettext_noop("{db:g} dB less round 4.5 kHz")),
    (gettext_noop("{db:g} dB more below 100 Hz"), gettext_noop("{db:g} dB less below 100 Hz")),
    (gettext_noop("{db:g} dB more above 9 kHz"), gettext_noop("{db:g} dB less above 9 kHz")),
)


def _sizes(hertz: Real) -> list[Size]:
    octaves = np.log2(hertz / _PRESENCE_HZ)
    hump = np.exp(-((octaves / 0.9) ** 2))
    low = 1 / (1 + (hertz / _LOW_HZ) ** 2)
    top = 1 / (1 + (_TOP_HZ / hertz) ** 4)
    return [
        Size(
            float(presence),
            _words(presence, lows, tops),
            presence * hump + lows * low + tops * top,
        )
        for presence in (-7, -4, 0, 4, 7)
        for lows in (-5, 0, 5)
        for tops in (-7, 0, 7)
        if sum(map(bool, (presence, lows, tops))) > 1
    ]


def _words(presence: int, lows: int, tops: int) -> str:
    parts = [
        Said(more if db > 0 else less, db=abs(db))
        for db, (more, less) in zip((presence, lows, tops), _WHERE, strict=True)
        if db
    ]
    return Said(gettext_noop("one with {what}"), what=in_a_row(parts))


KIND = Kind(
    "device",
    Said(gettext_noop("Another microphone or DI")),
    _sizes,
    Said(gettext_noop("Read the model and the switches on its body against the input list.")),
    fields=(("input", "device"),),
    beforehand=0.3,
    loose_bands=1.2,
)
