"""Where the cap of a fader stands on its slot, and in which position a switch is. Pure.

What is moved is cut from the reference and laid on every place along its way in the photo, at every
height above the panel that it may have: seen from the side, a cap that stands higher looks as if it
stood further along. Where the photo does not tell the two apart, the place is not told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.doubt import Reason
from rigs.knob_check.layers import Layers, Picture
from rigs.knob_check.parallax import Rise
from rigs.knob_check.registration import Floats, Registration

LENGTH = 160  # pixels that a slot is laid out in
MIDDLE = 0.05  # slots to either side in which only a cap is not as along the rest
CAP_LONG = (0.03, 0.45)  # slots that a cap may be long
LEAST_STEP = 0.1  # of a natural logarithm, by which a cap differs from its slot
PATCH, REACH = 16, 1.5  # pixels to either side of what is compared, and half lengths of it
STEP = 0.01  # slots from one place that is tried to the next
BEYOND = 0.04  # slots that a cap may seem to stand beyond an end
SWITCH = 0.3  # steps of a switch that half of what is moved is long, about
HEIGHTS = (0.0, 2.4)  # half lengths of the cap, or steps of a switch, above the panel
LEAST_ALIKE, LEAST_AHEAD, LEAST_AHEAD_SWITCH = 0.7, 0.08, 0.12
AS_GOOD, MOST_SPREAD = 0.03, 0.05  # what is hardly worse must lie so near, in slots
MOST_LEANING = 0.035  # slots that half a cap's length of height may look like
OTHER = 0.1  # slots: another place, no longer the same one


class Slot(NamedTuple):
    """The ends of a slot on the reference: fractions of the picture's width and height."""

    x1: float
    y1: float
    x2: float
    y2: float


class Switch(NamedTuple):
    """The places of a switch's positions on the reference, in fractions like those of `Slot`, and
    which of them, from 0, the reference shows."""

    points: tuple[tuple[float, float], ...]
    at: int


@dataclass(frozen=True)
class SlotReading:
    """The places of the cap on the reference and on the photo, 0 at the first end of the slot and 1
    at the second; `now` is None where it cannot be told, and `reason` says why."""

    before: float | None
    now: float | None
    reason: Reason | None


@dataclass(frozen=True)
class SwitchReading:
    """The position that the photo shows, from 0, or the reason why it cannot be told."""

    position: int | None
    reason: Reason | None


@dataclass(frozen=True)
class Laid:
    """Two photos of a panel that lie on each other."""

    before: Layers
    after: Layers
    registration: Registration
    rise: Rise


def slot_reading(laid: Laid, begin: Floats, end: Floats) -> SlotReading:
    """`begin` and `end` in pixels of the reference."""
    cap = _cap_on(laid.before, begin, end)
    if cap is None:
        return SlotReading(None, None, Reason.NO_CAP)
    place, half = cap
    if not _is_seen(laid, np.array([begin, end])):
        return SlotReading(place, None, Reason.OUTSIDE)
    way = end - begin
    places = np.arange(-BEYOND, 1 + BEYOND, STEP)
    long = half * float(np.linalg.norm(way))
    alike = _alike(laid, begin + place * way, half * way, begin + places[:, None] * way, long)
    best, column = np.unravel_index(int(alike.argmax()), alike.shape)
    off = np.abs(places - places[best])
    as_good = (alike > alike.max() - AS_GOOD).any(axis=1)
    if alike.max() < LEAST_ALIKE:
        return SlotReading(place, None, Reason.NO_CAP)
    oblique = off[as_good & (off <= OTHER)].max() > MOST_SPREAD
    if oblique or _leaning(laid, (begin + end) / 2, way, long) > MOST_LEANING:
        return SlotReading(place, None, Reason.OBLIQUE)
    if alike.max() - alike[off > OTHER].max() < LEAST_AHEAD:
        return SlotReading(place, None, Reason.NO_MARK)
    now = places[best] + STEP * _vertex(alike[:, column], int(best))
    return SlotReading(place, float(now), None)


def switch_reading(laid: Laid, points: Floats, at: int) -> SwitchReading:
    """`points`, shape (n, 2), in pixels of the reference; n at least 2."""
    if not _is_seen(laid, points):
        return SwitchReading(None, Reason.OUTSIDE)
    gaps = np.hypot(*(points[:, None] - points[None, :]).transpose(2, 0, 1))
    gap = float(gaps[gaps > 0].min())
    way = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0]) * gap
    # A little to either side: nobody puts a point exactly.
    beside = np.arange(-0.24, 0.25, 0.08)[:, None] * way
    alike = np.array(
        [_alike(laid, points[at], SWITCH * way, point + beside, gap).max() for point in points]
    )
    best = int(alike.argmax())
    if alike[best] < LEAST_ALIKE:
        return SwitchReading(None, Reason.NO_CAP)
    if alike[best] - np.delete(alike, best).max() < LEAST_AHEAD_SWITCH:
        return SwitchReading(None, Reason.NO_MARK)
    return SwitchReading(best, None)


def _leaning(laid: Laid, middle: Floats, way: Floats, high: float) -> float:
    """How far along its way, in slots, what stands so high seems to stand on: what is not known of
    its height is an error of so much of its place."""
    shift = laid.rise.shifts(middle[None, :], np.array([high]), np.zeros((1, 3)))[0, 0, 0]
    seen = laid.registration.to_photo(np.array([middle - way / 2, middle + way / 2]))
    along = seen[1] - seen[0]
    return abs(float(shift @ along / (along @ along)))


def _axes(way: Floats) -> Floats:
    """2 × 2: columns along `way` and across it, of its length."""
    return np.array([[way[0], -way[1]], [way[1], way[0]]])


def _cap_on(picture: Layers, begin: Floats, end: Floats) -> tuple[float, float] | None:
    """The place of the cap on its slot and half its length, both in slots: where the middle of the
    slot is not as along most of it."""
    half = math.ceil(LENGTH * 0.5)
    laid = picture.patch((begin + end) / 2, _axes(end - begin), LENGTH, half)
    band = round(MIDDLE * LENGTH)
    strip = laid[half - band : half + band + 1]
    off = np.abs(strip - np.median(strip, axis=1, keepdims=True)).mean(axis=0)
    off = np.convolve(off, np.ones(3) / 3, mode="same")
    limit = (np.percentile(off, 97) + np.percentile(off, 30)) / 2
    if np.percentile(off, 97) < LEAST_STEP:
        return None
    longest = max(_runs(off > limit), key=lambda run: run[1] - run[0])
    long = (longest[1] - longest[0]) / LENGTH
    if not CAP_LONG[0] <= long <= CAP_LONG[1]:
        return None
    return (longest[0] + longest[1] - 1) / 2 / (2 * half), long / 2


def _runs(flags: NDArray[np.bool_], gap: int = 4) -> list[tuple[int, int]]:
    """Where they are true, first and past the last, over gaps of a few."""
    out: list[tuple[int, int]] = []
    for i in np.flatnonzero(flags):
        if out and i - out[-1][1] <= gap:
            out[-1] = (out[-1][0], int(i) + 1)
        else:
            out.append((int(i), int(i) + 1))
    return out


def _alike(laid: Laid, own: Floats, size: Floats, points: Floats, high: float) -> Floats:
    """How alike what is at `own` in the reference is to each of `points`, at each height: shape
    (points, heights). `size` is half its length, as a vector; heights are in `high`, pixels."""
    axes = _axes(size) * REACH
    template = _even(laid.before.patch(own, axes, PATCH, PATCH))
    heights = np.linspace(*HEIGHTS, 7) * high
    flat = laid.registration.to_photo(points)
    shifts = laid.rise.shifts(points, heights, np.zeros((1, 3)))[0]
    out = np.empty((len(points), len(heights)))
    for i, (x, y) in enumerate(points):
        slope = laid.registration.slope(x, y, float(np.linalg.norm(size))) @ axes
        for j in range(len(heights)):
            seen = _even(laid.after.patch(flat[i] + shifts[j, i], slope, PATCH, PATCH))
            out[i, j] = float((template * seen).sum())
    return out


def _even(patch: Picture) -> Picture:
    """Without slow changes of light, of mean 0 and length 1, less towards its edge."""
    import cv2

    flat = patch - cv2.GaussianBlur(patch, (0, 0), 1.2 * PATCH)
    axis = np.arange(-PATCH, PATCH + 1) / (PATCH + 1)
    window = np.exp(-0.5 * (axis / 0.6) ** 2)
    flat = (flat - flat.mean()) * np.sqrt(window[:, None] * window[None, :])
    return np.asarray(flat / max(float(np.linalg.norm(flat)), 1e-6), np.float32)


def _vertex(values: Floats, at: int) -> float:
    """Steps from the greatest value to the vertex of a parabola through three."""
    if not 0 < at < len(values) - 1:
        return 0.0
    a, b, c = values[at - 1 : at + 2]
    bow = a - 2 * b + c
    return float(0.5 * (a - c) / bow) if bow < -1e-9 else 0.0


def _is_seen(laid: Laid, points: Floats) -> bool:
    seen = laid.registration.to_photo(points)
    height, width = laid.after.grey.shape
    return bool((seen >= 0).all() and (seen[:, 0] < width).all() and (seen[:, 1] < height).all())
