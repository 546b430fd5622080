"""When a turn that was found may be told, and why it is not where it may not. Pure.

The limits were set on drawn panels and told on others, drawn afterwards (docs/measurements.md).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.languages.marked import gettext_noop
from rigs.knob_check.found import Found


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
class Sure:
    """What both looks at a turn have to tell that it may be told, as the fields of `Found`, and by
    how many degrees they may be `apart`."""

    alike: float
    ahead: float
    clear: float
    stands: float
    spread: float
    apart: float
    moved: float = 9.0
    strain: float = 9.0


@dataclass(frozen=True)
class OnOneAxis:
    """What of a cap and the one on it has to hold for the places of both, that a turn is told: at
    most so much `against`, less where it is the `only` one of its make, which no other confirms;
    `moved` by at most so much; and the upper one `above` the lower by at least so much."""

    against: float = 0.25
    only: float = 0.2
    moved: float = 0.15
    above: float = 0.1


@dataclass(frozen=True)
class Limits:
    """The least and the most of what `Found` tells with which a turn is told.

    What stands out on a cap shorter than `long` is a dot: how far it has turned hangs on where the
    middle of the cap is, on which the vote and what all know together have to agree. A cap that is
    not round is its own pointer: the first look counts most. Of a ring about another cap most that
    is seen is edges and walls: its mark counts alone. The cap on it is an `upper` one; sought at a
    wrong height, either passes for the other, and so the places of both have to be sure as well.
    Where most caps of a make are not as alike as `fellows`, they are not where they were looked
    for; one under `strain` is of another height.
    What is `scattered` over a round cap is dirt, or ribs that are alike. Where ribs keep the mark
    alone from being `clear`, it is `silent`, and the first look is enough `alone` if what stands
    out is `compact`.
    """

    plain: Sure = Sure(
        alike=0.65, ahead=0.25, clear=0.4, stands=0.0, spread=4.5, apart=6.0, strain=1.6
    )
    dot: Sure = Sure(
        alike=0.7, ahead=0.25, clear=0.5, stands=0.0, spread=3.6, apart=6.0, moved=0.08, strain=1.6
    )
    not_round: Sure = Sure(alike=0.8, ahead=0.5, clear=0.2, stands=0.0, spread=4.0, apart=10.0)
    ring: Sure = Sure(alike=0.65, ahead=-1.0, clear=0.65, stands=13.0, spread=12.0, apart=15.0)
    upper: Sure = Sure(
        alike=0.8, ahead=0.25, clear=0.5, stands=0.0, spread=4.5, apart=6.0, strain=1.6
    )
    on_one_axis: OnOneAxis = OnOneAxis()
    alone: Sure = Sure(
        alike=0.8, ahead=0.6, clear=0.0, stands=0.0, spread=3.0, apart=180.0, strain=1.6
    )
    silent: float = 0.25
    compact: float = 0.3
    fellows_alone: float = 0.75
    fellows: float = 0.6
    beside: float = 0.2
    shown: float = 0.4
    long: float = 0.12
    scattered: float = 0.6
    sided: float = 0.12
    pixels: float = 9.0
    aspect: float = 0.55
    bright: float = 0.12
    contrast: float = 10.0
    found: float = 0.5  # less alike, and what is there is not the cap


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
    sure = _limits_of(found, pair, limits)
    is_marked = not found.is_round or pair or found.long <= limits.scattered
    is_there = found.beside <= limits.beside and found.fellows >= limits.fellows
    is_sure = _is_sure(found, sure) or (sure is limits.plain and _is_sure_alone(found, limits))
    is_placed = _is_placed(found, limits.on_one_axis)
    if is_marked and is_there and is_sure and is_placed:
        return None
    if found.bright > limits.bright:
        return Reason.GLARE
    if found.contrast < limits.contrast:
        return Reason.DARK
    if not is_there or found.alike < limits.found:
        return Reason.NO_CAP
    if not is_placed:
        return Reason.LOOSE
    if found.alike < sure.alike or found.clear < sure.clear or found.stands < sure.stands:
        return Reason.NO_MARK
    if sure is limits.dot:
        return Reason.DOT
    return Reason.LOOSE if found.spread > sure.spread else Reason.NO_MARK


def _limits_of(found: Found, pair: bool, limits: Limits) -> Sure:
    if pair:
        return limits.ring
    if not found.is_round:
        return limits.not_round
    if found.long < limits.long:
        return limits.dot
    return limits.upper if found.high else limits.plain


def _is_placed(found: Found, limits: OnOneAxis) -> bool:
    if found.above is None:
        return True
    against = limits.against if found.many > 1 else limits.only
    return found.against <= against and found.moved <= limits.moved and found.above >= limits.above


def _is_sure(found: Found, sure: Sure) -> bool:
    apart = abs((found.turn - found.second + 180.0) % 360.0 - 180.0)
    return (
        found.alike >= sure.alike
        and found.ahead >= sure.ahead
        and found.clear >= sure.clear
        and found.stands >= sure.stands
        and found.spread <= sure.spread
        and apart <= sure.apart
        and found.moved <= sure.moved
        and found.strain <= sure.strain
    )


def _is_sure_alone(found: Found, limits: Limits) -> bool:
    is_silent = found.clear < limits.silent and found.long <= limits.compact
    return is_silent and found.fellows >= limits.fellows_alone and _is_sure(found, limits.alone)
