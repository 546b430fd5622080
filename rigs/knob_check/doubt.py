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
    NO_CAP = "its cap was not found: hidden, or not the same"
    TWO_WAYS = "it looks alike after half a turn"
    DOT = "its mark is so short that a shift looks like a turn"
    NO_MARK = "its mark does not stand out"


@dataclass(frozen=True)
class Limits:
    """The least and the most of what `Found` tells with which a turn is told.

    A cap that lies where all of its panel would have it, within `exact` radii, and whose turn is
    `far_ahead` of all others, may be less alike, as in the noise of a night. Where another cap sits
    on it less is left to see: it must be more alike (`carrying`) and nearer to its place. What
    stands out on a cap shorter than `long` is a dot, and what is `scattered` over it no mark.
    """

    alike: float = 0.8
    ahead: float = 0.2
    beside: float = 0.25
    exact: float = 0.12
    far_ahead: float = 0.45
    alike_exact: float = 0.7
    carrying: float = 0.93
    ahead_carrying: float = 0.1
    beside_carrying: float = 0.15
    shown: float = 0.45
    long: float = 0.12
    scattered: float = 0.49
    sided: float = 0.12
    pixels: float = 9.0
    aspect: float = 0.6
    bright: float = 0.12
    contrast: float = 10.0


LIMITS = Limits()


def reason_for(found: Found, *, pair: bool, limits: Limits = LIMITS) -> Reason | None:
    """None where the turn is sure; `pair`: another cap sits on this one."""
    if found.pixels < limits.pixels:
        return Reason.SMALL
    if found.aspect < limits.aspect:
        return Reason.OBLIQUE
    if found.sided < limits.sided:
        return Reason.TWO_WAYS
    if found.shown < limits.shown:
        return Reason.COVERED
    if not pair and found.long < limits.long:
        return Reason.DOT
    if not pair and found.long > limits.scattered:
        return Reason.NO_MARK
    if _is_sure(found, pair, limits):
        return None
    if found.bright > limits.bright:
        return Reason.GLARE
    if found.contrast < limits.contrast:
        return Reason.DARK
    if found.beside > limits.beside or found.alike < 0.5:
        return Reason.NO_CAP
    return Reason.NO_MARK


def _is_sure(found: Found, pair: bool, limits: Limits) -> bool:
    if pair:
        return (
            found.alike >= limits.carrying
            and found.ahead >= limits.ahead_carrying
            and found.beside <= limits.beside_carrying
        )
    if found.alike >= limits.alike:
        return found.ahead >= limits.ahead and found.beside <= limits.beside
    return (
        found.alike >= limits.alike_exact
        and found.ahead >= limits.far_ahead
        and found.beside <= limits.exact
    )
