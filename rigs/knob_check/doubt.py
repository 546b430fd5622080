"""When a turn that was found may be told, and why it is not where it may not. Pure.

The limits were set on drawn panels and told on others, drawn afterwards (docs/measurements.md).
"""

from __future__ import annotations

import math
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
class Mark:
    """How far a turn of a cap that is at its place is to be doubted by what both looks say: the
    logarithm of the odds that it is wrong by more than 8° (logistic regression over the caps at
    their place of the panels on which limits were set), at most `most`.

    `ahead` as of `Found`, at most `ahead_most`. `same` and `other` weigh by how much the second
    look is clear, as far as it says the same, and as far as it does not: what it says counts half
    where it is `apart` degrees off. `spread` weighs the logarithm of that of `Found`. A cap that is
    `not_round` is its own pointer, of which the mark is but a part.
    """

    even: float = -0.3
    ahead: float = -2.4
    ahead_most: float = 1.5
    same: float = -7.2
    other: float = -0.2
    apart: float = 5.0
    spread: float = 1.1
    least_spread: float = 0.5
    not_round: float = -0.7
    most: float = -3.75


@dataclass(frozen=True)
class Place:
    """The least and the most of what `Found` tells with which a cap is where it was looked for.

    What is `beside` by more, or alike by less than `alike`, is not the cap. One that is alike by
    `alone` tells for itself; any other has to be where all say: `moved` and under `strain` by
    little, and most of its make as alike as `fellows`.
    A `dot` tells a turn only by where its middle is, so it may be moved by little, and an only one
    of its make, whose place no other confirms, by less: `only_dot`.
    """

    beside: float = 0.2
    alike: float = 0.6
    alone: float = 0.95
    moved: float = 0.12
    strain: float = 1.6
    most_strain: float = 4.0
    fellows: float = 0.5
    long: float = 0.12
    dot: float = 0.08
    only_dot: float = 0.05


@dataclass(frozen=True)
class OnOneAxis:
    """What of a cap and the one on it has to hold for the places of both, that a turn is told:
    sought at a wrong height, either passes for the other. At most so much `against`, less where it
    is the `only` one of its make, which no other confirms; `moved` by at most so much; and the
    upper one higher than the lower by what is between `above`."""

    against: float = 0.4
    only: float = 0.25
    moved: float = 0.12
    above: tuple[float, float] = (0.2, 1.4)


@dataclass(frozen=True)
class Limits:
    """The least and the most of what `Found` tells with which a turn is told.

    One number, `Mark`, tells how far what both looks say is to be doubted, as long as the cap is at
    its place; that it is, `Place` and `OnOneAxis` tell. None is told with a wider `spread`, none
    with less `ahead`, of which half is enough where the spread is but `sharp`; but of a ring about
    another cap most that is seen is edges and walls: its mark alone has to be clear by
    `ring_clear`. What is `scattered` over a round cap is dirt, or ribs that are alike.
    """

    mark: Mark = Mark()
    place: Place = Place()
    on_one_axis: OnOneAxis = OnOneAxis()
    ahead: float = 0.3
    ring_clear: float = 0.8
    spread: float = 5.5
    sharp: float = 4.0
    shown: float = 0.3
    scattered: float = 0.6
    sided: float = 0.2
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
    place = _place_reason(found, pair, limits)
    is_loose = found.spread > limits.spread
    if place is None and not is_loose and _is_marked(found, pair, limits):
        return None
    if found.bright > limits.bright:
        return Reason.GLARE
    if found.contrast < limits.contrast:
        return Reason.DARK
    if place is not None:
        return place
    return Reason.LOOSE if is_loose else Reason.NO_MARK


def doubt_of(found: Found, limits: Mark) -> float:
    """As of `Mark`."""
    apart = abs((found.turn - found.second + 180.0) % 360.0 - 180.0)
    same = math.exp(-((apart / limits.apart) ** 2) * math.log(2.0))
    return (
        limits.even
        + limits.ahead * min(found.ahead, limits.ahead_most)
        + limits.same * found.clear * same
        + limits.other * found.clear * (1.0 - same)
        + limits.spread * math.log(max(found.spread, limits.least_spread))
        + (0.0 if found.is_round else limits.not_round)
    )


def _is_marked(found: Found, pair: bool, limits: Limits) -> bool:
    if pair:
        is_clear = found.clear >= limits.ring_clear
    else:
        is_scattered = found.is_round and found.long > limits.scattered
        least = limits.ahead / 2 if found.spread <= limits.sharp else limits.ahead
        is_clear = found.ahead >= least and not is_scattered
    return is_clear and doubt_of(found, limits.mark) <= limits.mark.most


def _place_reason(found: Found, pair: bool, limits: Limits) -> Reason | None:
    """Why it is not sure that the cap is where it was looked for."""
    place = limits.place
    if found.beside > place.beside or found.alike < place.alike:
        return Reason.NO_CAP
    if not _is_placed(found, limits.on_one_axis) or found.strain > place.most_strain:
        return Reason.LOOSE
    is_dot = found.is_round and not pair and found.long < place.long
    if is_dot and found.moved > (place.dot if found.many > 1 else place.only_dot):
        return Reason.DOT
    if found.alike >= place.alone:
        return None
    if found.fellows < place.fellows:
        return Reason.NO_CAP
    is_off = found.moved > place.moved or found.strain > place.strain
    return Reason.LOOSE if is_off and not is_dot else None


def _is_placed(found: Found, limits: OnOneAxis) -> bool:
    if found.above is None:
        return True
    against = limits.against if found.many > 1 else limits.only
    least, most = limits.above
    return found.against <= against and found.moved <= limits.moved and least <= found.above <= most
