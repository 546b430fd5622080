"""Where things stand: distances, angles, arrival differences, pairs.

Points are (x, y) or (x, y, z) in metres, any origin, the same axes for all points of a call.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rigs.signal._bessel import bessel
from rigs.signal._check import Q, finite, not_negative, plain, positive, refuse, within

# A tape measure's metres do not add up exactly in binary; a nanometre is not a finding.
_SLACK_METRES = 1e-9


def _vector(name: str, start: Sequence[float], end: Sequence[float]) -> list[float]:
    if len(start) not in (2, 3) or len(start) != len(end):
        refuse(name, (tuple(start), tuple(end)), "two points of 2 or of 3 coordinates")
    pairs = zip(start, end, strict=True)
    return [finite(name, b) - finite(name, a) for a, b in pairs]


def distance(a: Sequence[float], b: Sequence[float]) -> float:
    """Straight distance in m between two points in m.

    Source: geometry. Range: finite coordinates, two or three each; a path round an obstacle is
    longer. Raises ValueError outside it.
    """
    return math.hypot(*_vector("points", a, b))


def angle_at(apex: Sequence[float], a: Sequence[float], b: Sequence[float]) -> float:
    """Angle in rad (0 to pi) at `apex` between the directions to two points.

    With apex the mic, `a` the point it is aimed at and `b` a source it gives how far off axis the
    source is. Source: geometry, by atan2 so that small angles keep their digits. Range: neither
    point at the apex. Raises ValueError outside it.
    """
    u, v = _vector("points", apex, a), _vector("points", apex, b)
    lengths = math.hypot(*u), math.hypot(*v)
    if min(lengths) == 0:
        raise ValueError(f"points must differ from the apex, got {tuple(apex)!r} twice")
    # The arc cosine would lose half of the digits near 0 and near 180 degrees.
    one, other = (np.array(w) / length for w, length in zip((u, v), lengths, strict=True))
    return float(2 * np.arctan2(np.linalg.norm(one - other), np.linalg.norm(one + other)))


def arrival_seconds(path: Q, speed: float) -> Q:
    """Time in s that sound takes over a path in m: d / c.

    Source: definition; speed from air.speed_of_sound. Range: path 0 m or more, speed above 0 m/s.
    Raises ValueError outside it.
    """
    return plain(not_negative("path", path) / positive("speed", speed))


def arrival_difference(path_a: Q, path_b: float, speed: float) -> Q:
    """How much later in s sound arrives over path_b than over path_a: (b - a) / c.

    Negative where b is nearer. Source, range and errors: as arrival_seconds (raises ValueError).
    """
    return plain(-arrival_seconds(path_a, speed) + arrival_seconds(path_b, speed))


def samples(seconds: Q, rate: float) -> Q:
    """A time in s as samples at a rate in Hz, fractions kept: t x rate.

    Source: definition. Range: finite time, rate above 0 Hz. Raises ValueError outside it.
    """
    return plain(finite("seconds", seconds) * positive("rate", rate))


def distance_drop_db(near: Q, far: float) -> Q:
    """Level in dB lost from one distance to another in the free field: 20 log10(far / near).

    Negative where `far` is nearer. Source: inverse square law. Range: both above 0 m, a small
    source outdoors or well inside the room's reverberation radius. Raises ValueError outside it.
    """
    return plain(20 * np.log10(positive("far", far) / positive("near", near)))


def keeps_distance_ratio(own: float, other: float, ratio: float = 3.0) -> bool:
    """Whether another mic is at least `ratio` times as far from a source as the source's own mic.

    The 3:1 rule: the source is then 9.5 dB down in the other mic, before its level, angle and
    gain. Source: common practice, no source. Range: all above 0 m. Raises ValueError outside it.
    """
    needed = positive("ratio", ratio) * positive("own", own)
    return bool(positive("other", other) >= needed - _SLACK_METRES)


@dataclass(frozen=True)
class PairFit:
    """Distances in m from each mic to the centre, their difference (b - a), and the verdict."""

    a: float
    b: float
    difference: float
    within: bool


def pair_fit(
    a: Sequence[float], b: Sequence[float], centre: Sequence[float], tolerance: float
) -> PairFit:
    """Whether two mics are equally far from a centre, such as a snare's, within `tolerance` in m.

    Source: geometry; the tolerance is the engineer's. Range: tolerance 0 m or more (the boundary
    counts as within). Raises ValueError outside it.
    """
    allowed = not_negative("tolerance", tolerance) + _SLACK_METRES
    to_a, to_b = distance(a, centre), distance(b, centre)
    return PairFit(to_a, to_b, to_b - to_a, abs(to_b - to_a) <= allowed)


def piston_db(frequency: Q, radius: float, angle: float, speed: float) -> Q:
    """Level in dB re on the axis of a stiff round piston of a radius in m, at an angle in rad from
    its axis and frequencies in Hz: 20 log10 |2 J1(x) / x|, x = k a sin(angle).

    Source: L. Beranek, Acoustics, piston in an infinite wall (from memory). Range: far from it
    against its size; x up to 200, angle 0 to pi/2. In a null the level is -inf. A cone bends and
    beams less than this. Raises ValueError outside it.
    """
    turn = 2 * math.pi * positive("frequency", frequency) / positive("speed", speed)
    across = positive("radius", radius) * math.sin(within("angle", angle, 0, math.pi / 2, "rad"))
    x = np.asarray(within("x", turn * across, 0, 200, "= k a sin(angle)"), dtype=np.float64)
    # J1(x) / x has 1/2 as its limit, where the quotient itself has none.
    tiny = x < 1e-6  # noqa: PLR2004
    ratio = np.where(tiny, 1.0, 2 * bessel(1, x) / np.where(tiny, 1.0, x))
    with np.errstate(divide="ignore"):
        return plain(20 * np.log10(np.abs(ratio)))
