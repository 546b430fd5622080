"""When a turn that was found may be told, and why it is not where it may not. Pure.

The limits were set on one half of drawn panels and told for the other (docs/measurements.md).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.languages.marked import gettext_noop
from rigs.knob_check.turning import Found


class Reason(StrEnum):
    """Why a turn cannot be told. What is stored of it, and is translated where it is shown."""

    OTHER_PANEL = gettext_noop("not the same panel")
    OUTSIDE = gettext_noop("not in the picture")
    SMALL = gettext_noop("too small in the picture")
    OBLIQUE = gettext_noop("seen too much from the side")
    COVERED = gettext_noop("seen from the side, a taller cap covers part of it")
    GLARE = gettext_noop("glare")
    DARK = gettext_noop("too dark, or too little contrast")
    NO_CAP = gettext_noop("its cap was not found: hidden, or not the same")
    TWO_WAYS = gettext_noop("it looks alike after half a turn")
    DOT = gettext_noop("its mark is so short that a shift looks like a turn")
    LOOSE = gettext_noop("where its middle is cannot be told well enough")
    NO_MARK = gettext_noop("its mark does not stand out")


@dataclass(frozen=True)
class Limits:
    """The least and the most of what `Found` tells with which a turn is told.

    What stands out on a cap shorter than `long` is a dot: how far it has turned hangs on where the
    middle of the cap is, and it may be less uncertain (`spread_of_dots`). What is `scattered` over
    a round cap is dirt, or ribs that are alike.
    """

    alike: float = 0.6
    ahead: float = 0.7
    beside: float = 0.2
    shown: float = 0.4
    spread: float = 4.0
    spread_of_dots: float = 3.0
    long: float = 0.12
    scattered: float = 0.49
    sided: float = 0.12
    pixels: float = 9.0
    aspect: float = 0.55
    bright: float = 0.12
    contrast: float = 10.0


LIMITS = Limits()


def reason_for(found: Found, *, pair: bool, limits: Limits = LIMITS) -> Reason | None:
    """None where the turn is sure; `pair`: another cap, or one with numbers around, is on it."""
    if found.pixels < limits.pixels:
        return Reason.SMALL
    if found.aspect < limits.aspect:
        return Reason.OBLIQUE
    if found.sided < limits.sided:
        return Reason.TWO_WAYS
    if found.shown < limits.shown:
        return Reason.COVERED
    if found.is_round and not pair and found.long > limits.scattered:
        return Reason.NO_MARK
    is_like = found.alike >= limits.alike and found.ahead >= limits.ahead
    if is_like and found.beside <= limits.beside:
        if found.long < limits.long:
            return None if found.spread <= limits.spread_of_dots else Reason.DOT
        return None if found.spread <= limits.spread else Reason.LOOSE
    if found.bright > limits.bright:
        return Reason.GLARE
    if found.contrast < limits.contrast:
        return Reason.DARK
    if found.beside > limits.beside or found.alike < 0.5:
        return Reason.NO_CAP
    return Reason.NO_MARK
