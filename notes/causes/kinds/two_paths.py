"""Two paths of one sound added together, one later: a comb."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from notes.listening.bands import edges, midbands
from rigs.signal.combs import response_db

_FINE = 16
_APART = gettext_noop("{ms:.3g} ms apart")
_TURNED = gettext_noop("{ms:.3g} ms apart, one turned over")


def _sizes(hertz: Real) -> list[Size]:
    low, high = edges()
    used = np.isin(midbands(), hertz)
    # What a band reads of a comb is its power over the band, not its value in the middle.
    within = np.geomspace(low[used], high[used], _FINE)
    out = []
    for delay in (0.00025, 0.0004, 0.0006, 0.0008, 0.001, 0.0013, 0.0017, 0.0022, 0.003):
        for apart in (0.5, 4.0, 8.0):
            for inverted in (False, True):
                power = 10 ** (response_db(within, delay, apart, inverted) / 10)
                curve = 10 * np.log10(power.mean(axis=0))
                words = Said(_TURNED if inverted else _APART, ms=delay * 1000)
                out.append(Size(delay * 1000, words, curve, way="turned" if inverted else ""))
    return out


KIND = Kind(
    "two_paths",
    Said(gettext_noop("Two paths added together, one late or turned over")),
    _sizes,
    Said(
        gettext_noop(
            "Mute the other one (DI or second microphone) and listen; then measure DI against "
            "microphone."
        )
    ),
    fields=(("input", "delay"), ("input", "reversed_polarity"), ("input", "distance")),
)
