"""Where a mark on a photo is: the circle about a cap, a slot, or the positions of a switch. Pure.

Places are fractions of the picture's width and height, lengths fractions of its width.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import NamedTuple, Protocol

from core.languages.marked import Said, gettext_noop
from core.units import plain

MOST_SPOTS = 12
STEP = Decimal("0.0001")
AROUND = 1.4  # of a slot or the positions of a switch, so that some of the panel is seen, too


class Marked(Protocol):
    """What of a pin this module needs."""

    x: Decimal
    y: Decimal
    cap_radius: Decimal | None
    slot_x: Decimal | None
    slot_y: Decimal | None
    spots: str


class Round(NamedTuple):
    """A circle on a picture."""

    x: float
    y: float
    radius: float


def circle_of(pin: Marked, aspect: float) -> Round:
    """The circle that holds the mark; `aspect` is the picture's height over its width."""
    if pin.cap_radius:
        return Round(float(pin.x), float(pin.y), float(pin.cap_radius))
    places = [(float(x), float(y)) for x, y in places_of(pin)]
    x = sum(place[0] for place in places) / len(places)
    y = sum(place[1] for place in places) / len(places)
    far = max(math.hypot(px - x, (py - y) * aspect) for px, py in places)
    return Round(x, y, max(far * AROUND, 0.01))


def places_of(pin: Marked) -> list[tuple[Decimal, Decimal]]:
    """The two ends of a slot, or the positions of a switch; else the spot of the pin."""
    if pin.slot_x is not None and pin.slot_y is not None:
        return [(pin.x, pin.y), (pin.slot_x, pin.slot_y)]
    return read_spots(pin.spots) or [(pin.x, pin.y)]


def read_spots(text: str) -> list[tuple[Decimal, Decimal]]:
    """“31.2 40; 31.2 44” in per cent, as fractions. Raises ValueError in words fit for a form,
    to be `told`."""
    places = []
    for part in filter(None, (each.strip() for each in text.split(";"))):
        numbers = part.replace(",", ".").split()
        try:
            x, y = ((Decimal(number) / 100).quantize(STEP) for number in numbers)
        except (ValueError, InvalidOperation):
            words = gettext_noop("“{part}” is no place. Write two numbers in %: 31.2 40.")
            raise ValueError(Said(words, part=part)) from None
        if not (0 <= x <= 1 and 0 <= y <= 1):
            raise ValueError(Said(gettext_noop("The picture runs from 0 to 100 %.")))
        places.append((x, y))
    if len(places) > MOST_SPOTS:
        raise ValueError(Said(gettext_noop("{most} positions are the most."), most=MOST_SPOTS))
    return places


def write_spots(places: Sequence[tuple[Decimal, Decimal]]) -> str:
    """The one spelling of places that `read_spots` reads."""
    return "; ".join(f"{plain(x * 100)} {plain(y * 100)}" for x, y in places)
