"""Where the numbered disc of each pin stands beside its spot, so that none hides another. Pure.

A disc stands above its spot; near the top of the picture below it. Where that would cover a disc
that is there already it goes to a side, and at last further out. Lengths are those of the page, in
pixels; the spots are fractions of a picture of the given size.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import NamedTuple

HEAD = 13  # radius of the disc
RISE = 22  # from the spot to the disc's centre
FLIP = Decimal("0.15")  # nearer to the top than this, the disc hangs below its spot
NARROW = 358  # width of a picture on a phone: on anything wider the spots are further apart
_SPACING = 2 * HEAD + 2


class PinSpot(NamedTuple):
    """`angle` is in degrees clockwise from straight up, `rise` the distance from the spot."""

    angle: float
    rise: float

    @property
    def offset(self) -> tuple[float, float]:
        turn = math.radians(self.angle)
        return self.rise * math.sin(turn), -self.rise * math.cos(turn)


def usual(y: Decimal) -> PinSpot:
    """Where a disc stands when no other is in the way."""
    return PinSpot(180.0 if y < FLIP else 0.0, RISE)


def places(spots: Iterable[tuple[Decimal, Decimal]], width: float, height: float) -> list[PinSpot]:
    """A place for each spot, in order; the earlier ones choose first."""
    chosen: list[PinSpot] = []
    discs: list[tuple[float, float]] = []
    for x, y in spots:
        spot = float(x) * width, float(y) * height
        place = _free(spot, usual(y), discs, width, height)
        chosen.append(place)
        discs.append(_centre(spot, place))
    return chosen


def _free(
    spot: tuple[float, float],
    first: PinSpot,
    discs: list[tuple[float, float]],
    width: float,
    height: float,
) -> PinSpot:
    """The first place that covers no disc; where all do, the one that covers the least."""
    roomiest, most = first, -1.0
    for place in _candidates(first):
        x, y = _centre(spot, place)
        # A disc beyond the picture could be cut off; the usual place is allowed in any case.
        if place != first and not (0 <= x <= width and 0 <= y <= height):
            continue
        room = min((math.dist((x, y), disc) for disc in discs), default=math.inf)
        if room >= _SPACING:
            return place
        if room > most:
            roomiest, most = place, room
    return roomiest


def _candidates(first: PinSpot) -> Iterator[PinSpot]:
    """Places at the usual distance on four sides, then in wider rings whose discs do not touch."""
    for quarter in (0, 90, -90, 180):
        yield PinSpot((first.angle + quarter) % 360, RISE)
    for ring in range(2, 6):
        rise = ring * _SPACING
        step = 360 / math.floor(math.pi / math.asin(_SPACING / 2 / rise))
        turns = sorted((n * step for n in range(round(360 / step))), key=lambda t: min(t, 360 - t))
        for turn in turns:
            yield PinSpot((first.angle + turn) % 360, rise)


def _centre(spot: tuple[float, float], place: PinSpot) -> tuple[float, float]:
    x, y = place.offset
    return spot[0] + x, spot[1] + y
