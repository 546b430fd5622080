"""When a turn that was found may be told, and why it is not where it may not. Pure.

The limits were set on one half of drawn panels and told for the other (docs/measurements.md).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rigs.knob_check.turning import Found


class Reason(StrEnum):
    """Why a turn cannot be told."""

    OTHER_PANEL = "not the same panel"
    OUTSIDE = "not in the picture"
    SMALL = "too small in the picture"
    OBLIQUE = "seen too much from the side"
    COVERED = "seen from the side, a taller cap covers part of it"
    GLARE = "glare"
    DARK = "too dark, or too little contrast"
    HIDDEN = "hidden, or not the same cap"
    NO_CAP = "its cap was not found"
    TWO_WAYS = "it looks alike after half a turn"
    NO_MARK = "its mark does not stand out"


@dataclass(frozen=True)
class Limits:
    """The least and the most of what `Found` tells with which a turn is told.

    `off` is the most that the outline and the rings of the cap may disagree, `agree` the mark alone
    and the rings, both in degrees; `lone` how many radii a cap may lie from where all caps of the
    panel would have it; `beside` how many radii a cap that carries another may have
    shifted before that one covers too much of it.
    """

    ahead: float = 0.15
    alike: float = 0.8
    free_margin: float = 0.08
    margin: float = 0.04
    sided: float = 0.3
    off: float = 20.0
    lone: float = 0.3
    agree: float = 3.0
    pixels: float = 9.0
    aspect: float = 0.6
    bright: float = 0.12
    contrast: float = 10.0
    beside: float = 0.3


LIMITS = Limits()


def turn_of(found: Found) -> float:
    """Degrees clockwise, −180 to 180. Of the three that were found, that of the rings was right the
    most often."""
    return (found.turn + found.apart + 180.0) % 360.0 - 180.0


def reason_for(found: Found, *, pair: bool, limits: Limits = LIMITS) -> Reason | None:
    """None where the turn is sure; `pair`: another cap sits on this one."""
    if found.pixels < limits.pixels:
        return Reason.SMALL
    if found.aspect < limits.aspect:
        return Reason.OBLIQUE
    if found.sided < limits.sided:
        return Reason.TWO_WAYS
    if pair and max(abs(part) for part in found.shift) > limits.beside:
        return Reason.COVERED
    if (
        found.ahead >= limits.ahead
        and found.alike >= limits.alike
        and found.free_margin >= limits.free_margin
        and found.margin >= limits.margin
        and abs(found.apart) <= limits.off
        and found.beside <= limits.lone
        and abs((found.free - found.apart + 180.0) % 360.0 - 180.0) <= limits.agree
    ):
        return None
    if found.bright > limits.bright:
        return Reason.GLARE
    if found.contrast < limits.contrast:
        return Reason.DARK
    if found.alike < limits.alike:
        return Reason.HIDDEN
    return Reason.NO_MARK
