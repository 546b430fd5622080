"""A longer or shorter cable on a passive pickup: its resonance moves."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.pickups import PickupCircuit, difference_db

# Typical of a passive pickup, from memory: what a rig states of its own is not asked yet.
_HENRIES, _OHMS, _FARADS = 4.0, 8_000.0, 100e-12
_INPUT, _VOLUME = 1e6, 500e3


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for before, after in ((300, 900), (500, 1500), (300, 2000)):
        one, other = (
            PickupCircuit(_HENRIES, _OHMS, _FARADS, farads * 1e-12, _INPUT, volume_ohms=_VOLUME)
            for farads in (before, after)
        )
        curve = np.asarray(difference_db(hertz, one, other))
        more = after - before
        longer = Said(gettext_noop("{picofarads} pF more"), picofarads=more)
        shorter = Said(gettext_noop("{picofarads} pF less"), picofarads=more)
        out.append(Size(more, longer, curve, way="longer"))
        out.append(Size(-more, shorter, -curve, way="shorter"))
    return out


KIND = Kind(
    "cable",
    Said(gettext_noop("Another cable on a passive pickup")),
    _sizes,
    Said(gettext_noop("Plug the documented cable in and listen; a passive pickup alone can tell.")),
    fields=(("link", ""),),
)
