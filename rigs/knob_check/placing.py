"""Where the caps of a panel are in the photo, each by the vote of all. Pure.

Coarsely, the cap of the reference is turned by every angle and laid on the photo at every place it
may have, outline and all; caps that stand off a panel shift as a camera has them shift, and vote
together for their places (`parallax`). Closer, about that place, the marks alone vote.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check import refining
from rigs.knob_check.comparing import (
    COARSE,
    FINE,
    grid_of,
    is_free,
    levelled,
    templates_of,
    unlike_at,
    weights_of,
)
from rigs.knob_check.found import Circle, Found
from rigs.knob_check.layers import Layers, Picture
from rigs.knob_check.looks import shape_of
from rigs.knob_check.parallax import Carried, Evidence, Rise, Vote, other_heights, voted
from rigs.knob_check.registration import Registration

HEIGHTS = (0.05, 2.8)  # radii that caps stand off a panel
HEIGHTS_HIGH = (1.5, 7.0)  # and those that sit on another
USUAL, USUAL_HIGH = 1.2, 3.5  # and what is most usual
WELL, BETTER = -0.9, 0.05  # of `Evidence.unlike`: where marks fit so, no other height is tried
ROOM = 0.9  # radii that a cap is sought beside the way of heights
UPPER = 1.0  # radii that a cap on another is higher, about
GAP = (0.35, 1.6)  # and between how many of the lower one
EXACT = 9  # pixels of FINE about the voted place in which marks vote again
SIZES = (0.95, 1.0, 1.06)


@dataclass
class Search:
    """One cap on its way: where a flat one would be, where it is sought, how the photo moves
    there, and the evidence of the coarse look for each shift about `sought`."""

    circle: Circle
    flat: NDArray[np.float64]
    sought: NDArray[np.float64]
    slope: NDArray[np.float64]  # pixels of the photo a radius
    evidence: Picture  # (2·reach+1)²
    reach: int
    back: NDArray[np.float64]  # the inverse of `slope`
    raised: NDArray[np.float64]  # how it moves where the cap is seen
    under: NDArray[np.float64]  # radii by which what sits on it is shifted from it, about
    over: NDArray[np.float64]  # and on the reference
    leaning: NDArray[np.float64]  # how far the reference shows it from its foot, px


class Family(NamedTuple):
    """The caps of a panel, as `parallax.voted` takes them, and which sits on which."""

    caps: list[Evidence]
    heights: list[NDArray[np.float64]]
    usual: list[float]
    carried: dict[int, Carried]
    uppers: list[int | None]


def place_all(
    reference: Layers,
    photo: Layers,
    lying: tuple[Registration, Rise],
    searches: Sequence[Search],
    family: Family,
) -> tuple[list[Evidence], Vote]:
    """Where all caps of the panel are, and what their marks say of it."""
    registration, rise = lying
    caps, heights, usual, carried, uppers = family
    # How one photo lies on the other is not known to a pixel.
    rough = [cap.tolerant() for cap in caps]

    def asked(vote: Vote, of: Sequence[int]) -> list[Evidence]:
        cover(searches, vote.shifts, uppers)
        return [
            _exact(
                reference,
                photo,
                raised_at(registration, rise, searches[i], vote, i),
                vote.shifts[i],
                caps[i],
            )
            for i in of
        ]

    vote = voted(rise, rough, heights, usual, carried)
    marks = asked(vote, range(len(caps)))
    vote = voted(rise, marks, heights, usual, carried)
    groups = [cap.group for cap in caps]
    for group in range(len(heights)):
        of = [i for i, cap in enumerate(caps) if cap.group == group]
        unlike = [marks[i].unlike_at(vote.shifts[i]) for i in of]
        if float(np.mean(unlike)) < WELL:
            continue
        choice = heights[group]
        if group in carried:
            low, gap = vote.heights[groups.index(carried[group].group)], carried[group].gap
            choice = low + np.linspace(*gap, 12)
        for other in other_heights(rise, rough, choice, vote, of):
            instead = asked(other, of)
            tried = [*marks]
            for i, mark in zip(of, instead, strict=True):
                tried[i] = mark
            near = [*heights]
            near[group] = other.heights[of[0]] * np.linspace(0.85, 1.15, 9)
            # Free of what sits on what: the way to better heights leads over some no pair has.
            now = voted(rise, tried, near, usual)
            if now.unlike < vote.unlike - BETTER * len(of):
                marks, vote = tried, now
    return marks, vote


def cover(
    searches: Sequence[Search],
    shifts: Sequence[NDArray[np.float64]],
    uppers: Sequence[int | None],
) -> None:
    """What a cap that sits on another covers of it, by the places of both."""
    places = [search.flat + shift for search, shift in zip(searches, shifts, strict=True)]
    for i, (search, upper) in enumerate(zip(searches, uppers, strict=True)):
        if upper is not None:
            search.under = search.back @ (places[upper] - places[i])
            on, own = searches[upper].circle, search.circle
            search.over = np.array([on.x - own.x, on.y - own.y]) / own.radius


def far_from(search: Search, shift: NDArray[np.float64], found: Found) -> float:
    """Radii between where a cap was found and where all would have it."""
    off = search.back @ (np.array(found.place) - search.flat - shift)
    return float(np.hypot(off[0], off[1]))


def marks_about(
    reference: Layers, photo: Layers, search: Search, centre: NDArray[np.float64], reach: int
) -> Picture:
    """What the mark alone says, without the outline, at every turn of `grid_of` and every shift
    of up to `reach` of its pixels about a place of the photo: as of `unlike_at`."""
    circle, grid = search.circle, grid_of(FINE, 3.0, 0.9)
    weight = is_free(grid, circle.inner, search.under).astype(np.float32)
    round_it = np.eye(2) * circle.radius
    raw = reference.patch((circle.x, circle.y), round_it, FINE, grid.half)
    shape = shape_of(reference, circle, FINE, grid.half, search.leaning / circle.radius)
    seen = photo.patch(centre, search.raised, FINE, grid.half + reach)
    if shape is None and not circle.inner:
        own, seen = refining.unlit(raw, FINE), refining.unlit(seen, FINE)
    else:
        own, seen = levelled(raw, FINE), levelled(seen, FINE)
    return unlike_at(templates_of(own, grid, weight, shape), seen, grid, reach)


def _exact(
    reference: Layers, photo: Layers, search: Search, shift: NDArray[np.float64], cap: Evidence
) -> Evidence:
    """What the mark says of the place: from the side the outline is that of the wall too. A dot
    fits wherever it is as far from the middle as on the reference; where all caps of a panel lie,
    many dots tell together."""
    unlike = marks_about(reference, photo, search, search.flat + shift, EXACT).min(axis=0)
    side = 2 * EXACT + 1
    return replace(cap, unlike=unlike.reshape(side, side), centre=shift, step=search.raised / FINE)


def upper_of(circle: Circle, circles: Sequence[Circle]) -> int | None:
    """Which of them sits on this one."""
    if not circle.inner:
        return None
    far = [math.hypot(c.x - circle.x, c.y - circle.y) if c.high else math.inf for c in circles]
    nearest = min(range(len(circles)), key=far.__getitem__)
    return nearest if far[nearest] < circle.radius else None


def carried_by(
    circles: Sequence[Circle], groups: Sequence[int], uppers: Sequence[int | None]
) -> dict[int, Carried]:
    """Of groups of caps that sit on others on what those sit."""
    return {
        groups[upper]: Carried(group, (GAP[0] * circle.radius, GAP[1] * circle.radius))
        for circle, group, upper in zip(circles, groups, uppers, strict=True)
        if upper is not None
    }


def raised_at(
    registration: Registration, rise: Rise, search: Search, vote: Vote, number: int
) -> Search:
    """With how the photo moves where the cap is seen: a plane above the panel looks there, but for
    its size, as the panel does at the same place of the photo."""
    circle = search.circle
    at = np.array([circle.x, circle.y])
    x, y = at + circle.radius * (search.back @ vote.shifts[number])
    slope = registration.slope(x, y, circle.radius) * circle.radius
    leaning = rise.own_shift(at, vote.heights[number], vote.extra)
    return replace(search, raised=slope, leaning=leaning)


def heights_of(circle: Circle) -> NDArray[np.float64]:
    """Those that a cap may have, in pixels of the reference."""
    low, high = HEIGHTS_HIGH if circle.high else HEIGHTS
    return np.linspace(low, high, 23) * circle.radius


def usual_height(circle: Circle) -> float:
    """The height that most caps have, in pixels of the reference."""
    return (USUAL_HIGH if circle.high else USUAL) * circle.radius


def coarsely(
    reference: Layers, photo: Layers, registration: Registration, rise: Rise, circle: Circle
) -> Search:
    grid = grid_of(COARSE, 8.0)
    plain = np.eye(2) * circle.radius
    own = reference.patch((circle.x, circle.y), plain, COARSE, grid.half)
    at = np.array([[circle.x, circle.y]])
    flat = registration.to_photo(at)[0]
    slope = registration.slope(circle.x, circle.y, circle.radius) * circle.radius
    back = np.asarray(np.linalg.inv(slope), np.float64)
    heights = heights_of(circle)
    ends = rise.shifts(at, heights[[0, -1]], np.zeros((1, 3)))[0, :, 0]
    upper = rise.shifts(at, np.array([UPPER * circle.radius]), np.zeros((1, 3)))[0, 0, 0]
    under = back @ upper
    # On the reference, seen from the front, heights go away from the middle of the picture.
    middle = np.array(reference.grey.shape[::-1]) / 2
    over = UPPER * (at[0] - middle) / rise.distance
    weight = weights_of(grid, circle.inner, under)
    templates = templates_of(levelled(own, COARSE), grid, weight)
    sought = flat + ends.mean(axis=0)
    half = float(np.linalg.norm(back @ (ends[1] - ends[0]))) / 2
    reach = math.ceil((half + ROOM) * COARSE)
    evidence = np.full((2 * reach + 1) ** 2, np.inf, np.float32)
    for size in SIZES:
        seen = photo.patch(sought, slope * size, COARSE, grid.half + reach)
        unlike = unlike_at(templates, levelled(seen, COARSE), grid, reach)
        evidence = np.minimum(evidence, unlike.min(axis=0))
    side = 2 * reach + 1
    return Search(
        circle,
        flat,
        sought,
        slope,
        evidence.reshape(side, side),
        reach,
        back,
        slope,
        under,
        over,
        np.zeros(2),
    )
