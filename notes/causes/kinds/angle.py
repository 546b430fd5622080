"""A microphone moved round a loudspeaker's cone: the further off its axis, the fewer highs."""

from __future__ import annotations

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import speed_of_sound
from rigs.signal.placement import piston_db

_SPEED = float(speed_of_sound(20.0))
# Half of what moves of cones of 20 and 30 cm, about: common practice, no source.
_RADII = (0.08, 0.13)
_FROM, _TO = (0, 10, 20, 30), (10, 20, 30, 45, 60)
# A cone breaks up before it beams as hard as a stiff piston: common practice, no source.
_LEAST_DB = -18.0
_OFF, _ON = (
    gettext_noop("{degrees}° further off the axis"),
    gettext_noop("{degrees}° further on the axis"),
)


def _sizes(hertz: Real) -> list[Size]:
    out = []
    for radius in _RADII:
        for before in _FROM:
            for after in [each for each in _TO if each > before]:
                one, other = (_curve(hertz, radius, degrees) for degrees in (before, after))
                turned = after - before
                curve = other - one
                out.append(Size(turned, Said(_OFF, degrees=turned), curve, way="off"))
                out.append(Size(turned, Said(_ON, degrees=turned), -curve, way="on"))
    return out


def _curve(hertz: Real, radius: float, degrees: float) -> Real:
    # The power of a whole band, or the nulls between two lobes would be read as deep as they are.
    within = hertz * np.geomspace(2 ** (-1 / 6), 2 ** (1 / 6), 9)[:, None]
    power = 10 ** (np.asarray(piston_db(within, radius, np.radians(degrees), _SPEED)) / 10)
    return np.asarray(np.maximum(10 * np.log10(power.mean(axis=0)), _LEAST_DB))


KIND = Kind(
    "angle",
    Said(gettext_noop("Microphone at another angle, or moved across the cone")),
    _sizes,
    Said(
        gettext_noop(
            "Hold the angle gauge and the tape to what is written; no tone control has to be "
            "touched."
        )
    ),
    fields=(("input", "angle"), ("input", "aim"), ("input", "offset")),
    beforehand=0.5,
    loose_bands=1.0,
)
