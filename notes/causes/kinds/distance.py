"""Nearer or further: a directional microphone's bass against the rest (proximity)."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import speed_of_sound
from rigs.signal.microphones import GRADIENT_SHARE, proximity_rise_db

_SPEED = float(speed_of_sound(20.0))
_NEAR, _TIMES = (0.03, 0.06, 0.12), (1.5, 2.0, 3.0, 5.0)
_FAR, _NEAR_BY = gettext_noop("{times:g} times as far"), gettext_noop("{times:g} times as near")


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for share in ("subcardioid", "cardioid", "hypercardioid"):
        for near in _NEAR:
            close = proximity_rise_db(hertz, near, _SPEED, GRADIENT_SHARE[share])
            for times in _TIMES:
                away = proximity_rise_db(hertz, near * times, _SPEED, GRADIENT_SHARE[share])
                curve = np.asarray(away - close)
                out.append(Size(times, Said(_FAR, times=times), curve, way="further"))
                out.append(Size(1 / times, Said(_NEAR_BY, times=times), -curve, way="nearer"))
    return out


KIND = Kind(
    "distance",
    Said(gettext_noop("Microphone nearer or further")),
    _sizes,
    Said(gettext_noop("Measure from the reference point to the microphone with the tape.")),
    fields=(("input", "distance"), ("input", "device"), ("input", "height"), ("input", "offset")),
)
