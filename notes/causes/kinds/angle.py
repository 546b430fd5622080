"""A microphone moved round a loudspeaker's cone: the further off its axis, the fewer highs."""

from __future__ import annotations

import numpy as np

from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import speed_of_sound
from rigs.signal.placement import piston_db

_SPEED = float(speed_of_sound(20.0))
# Half of what moves of cones of 20 and 30 cm, about: common practice, no source.
_RADII = (0.08, 0.13)
_FROM, _TO = (0, 10, 20, 30), (10, 20, 30, 45, 60)
# A cone breaks up before it beams as hard as a stiff piston: common practice, no source.
_LEAST_DB = -18.0


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for radius in _RADII:
        for before in _FROM:
            for after in [each for each in _TO if each > before]:
                one, other = (_curve(hertz, radius, degrees) for degrees in (before, after))
                words = f"{after - before}° further"
                curve = other - one
                out.append(Size(after - before, f"{words} off the axis", curve, way="off"))
                out.append(Size(after - before, f"{words} on the axis", -curve, way="on"))
    return out


def _curve(hertz: Real, radius: float, degrees: float) -> Real:
    # The power of a whole band, or the nulls between two lobes would be read as deep as they are.
    within = hertz * np.geomspace(2 ** (-1 / 6), 2 ** (1 / 6), 9)[:, None]
    power = 10 ** (np.asarray(piston_db(within, radius, np.radians(degrees), _SPEED)) / 10)
    return np.asarray(np.maximum(10 * np.log10(power.mean(axis=0)), _LEAST_DB))


KIND = Kind(
    "angle",
    "Microphone at another angle, or moved across the cone",
    _sizes,
    "Hold the angle gauge and the tape to what is written; no tone control has to be touched.",
    fields=(("input", "angle"), ("input", "aim"), ("input", "offset")),
    beforehand=0.5,
    loose_bands=1.0,
)
