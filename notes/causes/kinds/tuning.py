"""All of it sharper or flatter, bands unchanged: a colder or warmer room, or tuned otherwise."""

from __future__ import annotations

import math

import numpy as np

from core.languages.marked import Said, gettext_noop
from notes.causes.hearing import TUNING
from notes.causes.kind import Kind, Real, Size
from rigs.signal.air import speed_of_sound

_USUAL_C = 20.0


def _sizes(hertz: Real) -> list[Size]:
    flat = np.zeros(len(hertz))
    return [
        Size(cents, _words(cents), flat, (0.0, 0.0, 0.0, 0.0, float(cents)))
        for cents in range(-48, 49, 3)
        if cents
    ]


def _words(cents: int) -> str:
    """What is known: pipes and horns follow the speed of sound; for strings it depends on what
    holds them, and steel alone grows sharper in the cold."""
    degrees = abs(cents) / _CENTS_A_DEGREE
    if degrees > _MOST_DEGREES:
        return Said(_SHARPER if cents > 0 else _FLATTER, cents=abs(cents))
    return Said(_WARMER if cents > 0 else _COLDER, cents=abs(cents), degrees=degrees)


_SHARPER, _FLATTER = gettext_noop("{cents} cents sharper"), gettext_noop("{cents} cents flatter")
_WARMER, _COLDER = (
    gettext_noop("{cents} cents sharper, as a horn is {degrees:.0f} °C warmer"),
    gettext_noop("{cents} cents flatter, as a horn is {degrees:.0f} °C colder"),
)


# No room is this much colder than the one before.
_MOST_DEGREES = 15.0
_CENTS_A_DEGREE = 1200 * math.log2(
    float(speed_of_sound(_USUAL_C + 1)) / float(speed_of_sound(_USUAL_C))
)

KIND = Kind(
    "tuning",
    Said(gettext_noop("Tuning: retuned, or a colder or warmer room")),
    _sizes,
    Said(
        gettext_noop(
            "Put a tuner on an open string or a held note, and read the room's temperature."
        )
    ),
    fields=(("tuning", ""),),
    needs=TUNING,
    loose=(0.3, 0.3, 1.5, 0.3, 1.5),
    # A tone moves a little within its third of an octave.
    loose_bands=1.5,
)
