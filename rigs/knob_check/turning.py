"""How far the cap of a knob has turned between two photos that lie on each other. Pure.

Three looks, each closer. Coarsely, the cap of the reference is turned by every angle and laid on
the photo at every place it may have, outline and all; caps that stand off a panel shift as a camera
has them shift, and vote together for their places (`parallax`). Closer, about that place, the mark
is followed and its rings compared over all turns. Then the best turns are made exact (`refining`),
and how alike the cap is then, and how much less so at any other turn, tells how sure it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check import refining
from rigs.knob_check.parallax import Evidence, Rise, Vote, rise_of, voted
from rigs.knob_check.registration import Registration

Picture = NDArray[np.float32]

REACH = 1.22  # radii compared: the cap, its outline and a little of the panel
COARSE, FINE = 9, 22  # pixels of a radius
HEIGHTS = (0.05, 2.4)  # radii that caps stand off a panel
HEIGHTS_HIGH = (1.5, 6.0)  # and those that sit on another
ROOM = 0.9  # radii that a cap is sought beside the way of heights
UPPER = 1.2  # radii that a cap on another is higher, about
SHARP = 36
EXACT = 9  # pixels of FINE about the voted place in which marks vote again
HELD, TURNS = 3, 5  # pixels of FINE about it, and how many turns are tried there
WITHIN = 0.05  # radii by which the voted place may be off
ANGLES = 180
SIZES = (0.95, 1.0, 1.06)
AGAIN = 0.2  # radii beside where all caps would have it: it is looked at again
SURE, SURE_AHEAD, FIXED = 0.85, 0.3, 1.0  # of `Found`: its place counts for the others
LEAST_TONE = 0.25  # of a natural logarithm, between a cap and its panel
ROUND = (0.15, 0.85)  # of what lies in its circle, what a cap that is not round fills
SAME_TONE, DOT = 0.8, 0.12  # of caps of one make; of `_length`
NARROW = 0.25  # radii: a mark on such a cap is narrower
WALL = 1.25  # of what the height says is taken for wall: the height is told too low sooner
APART_DEG = 9.0  # another turn, no longer the same one


@dataclass(frozen=True)
class Circle:
    """A circle over a cap of the reference, in pixels; `inner` is the part of its radius that
    another cap covers, 0 to below 1."""

    x: float
    y: float
    radius: float
    inner: float = 0.0
    high: bool = False  # it sits on another cap


@dataclass(frozen=True)
class Found:
    """The best turn of one cap, degrees clockwise, −180 to 180, and what tells of doubt.

    `alike`: how much of the cap, beside what light explains, the turned reference explains, up to
    1; `ahead`: by how much more than at the best other turn; `shown`: how much of what stands out
    on it no other cap covers; `long`: of the mark, as `_length`. `place`: pixels of
    the photo, its middle; `beside`: radii from where all caps of the panel would have it; `shift`:
    radii right and down from where a flat one would be. `pixels`: the least radius in the photo.
    `aspect`: how flat it is seen. `bright`: the share of it that is burnt out. `contrast`: in grey
    levels. `sided`: how much tells the cap of the reference from itself half a turn on, 0 to about
    0.5. `spread`: degrees, as of `refining.Fit`. `is_round`: it fills its circle.
    """

    turn: float
    alike: float
    ahead: float
    shown: float
    long: float
    place: tuple[float, float]
    beside: float
    shift: tuple[float, float]
    pixels: float
    aspect: float
    bright: float
    contrast: float
    sided: float
    spread: float
    is_round: bool


class Layers:
    """A grey picture and its halves, as logarithms, so that light only adds."""

    def __init__(self, grey: NDArray[np.uint8]) -> None:
        import cv2

        self.grey = grey
        level = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 0.7)
        self._levels: list[Picture] = []
        while min(level.shape) >= 64 and len(self._levels) < 5:
            self._levels.append(cv2.log(level + np.float32(8.0)))
            level = cv2.pyrDown(level)

    def patch(self, centre: Any, slope: Any, pixels: float, half: int) -> Picture:
        """(2·half+1) square about `centre`; one of its pixels is `slope` / `pixels` of a radius."""
        import cv2

        step = np.asarray(slope, float) / pixels  # picture pixels a patch pixel
        size = math.sqrt(abs(float(np.linalg.det(step))))
        level = min(len(self._levels) - 1, max(0, math.floor(math.log2(max(size, 1e-6)) + 0.3)))
        down = 2.0**level
        at = (np.asarray(centre, float) - (step @ [half, half])) / down
        warp = np.column_stack([step / down, at])
        side = 2 * half + 1
        return np.asarray(
            cv2.warpAffine(
                self._levels[level],
                warp,
                (side, side),
                flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                borderMode=cv2.BORDER_REPLICATE,
            )
        )


@dataclass(frozen=True)
class _Grid:
    """The places compared for a radius of so many pixels, and where they are when turned."""

    pixels: int  # of a radius
    half: int
    x: NDArray[np.int64]
    y: NDArray[np.int64]
    rho: NDArray[np.float32]
    turns: NDArray[np.float64]  # degrees
    map_x: Picture  # (turns, places)
    map_y: Picture


@lru_cache(maxsize=4)
def _grid(pixels: int, step_deg: float, reach: float = REACH) -> _Grid:
    half = math.ceil(pixels * REACH)
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    rho = np.hypot(x, y) / pixels
    inside = rho < reach
    x, y, rho = x[inside], y[inside], rho[inside].astype(np.float32)
    turns = np.arange(0.0, 360.0, step_deg)
    a = np.radians(turns)[:, None].astype(np.float32)
    # What is at (x, y) after a clockwise turn was at the place turned back.
    back_x, back_y = x * np.cos(a) + y * np.sin(a), -x * np.sin(a) + y * np.cos(a)
    cap = rho <= 1.0
    map_x = np.where(cap, back_x, x) + half
    map_y = np.where(cap, back_y, y) + half
    return _Grid(
        pixels,
        half,
        x,
        y,
        rho.astype(np.float32),
        turns,
        map_x.astype(np.float32),
        map_y.astype(np.float32),
    )


def _is_free(grid: _Grid, inner: float, under: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which places a smaller cap on this one leaves free."""
    return _is_beside(np.stack([grid.x, grid.y], axis=-1) / grid.pixels, inner, under)


def _is_beside(
    at: NDArray[np.float64], inner: float, under: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether places (…, 2) in radii lie beside a smaller cap on this one, which is shifted from it
    by `under` at its top and by less below."""
    if not inner:
        return np.ones(at.shape[:-1], bool)
    part = np.clip(at @ under / max(float(under @ under), 1e-9), 0, 1)
    off = at - part[..., None] * under
    return np.asarray(np.hypot(off[..., 0], off[..., 1]) > inner + 0.04)


def _weights(grid: _Grid, inner: float, under: NDArray[np.float64]) -> NDArray[np.float32]:
    outside = np.clip((REACH - grid.rho) / (REACH - 1.0), 0, 1) * 0.8
    weight = np.where(grid.rho <= 1.0, 1.0, outside)
    return np.asarray(np.where(_is_free(grid, inner, under), weight, 0.0), np.float32)


def _level(patch: Picture, pixels: int) -> Picture:
    """Less the slow changes of light; what stands out by far, such as a gleam, held back."""
    import cv2

    flat = patch - cv2.GaussianBlur(patch, (0, 0), 1.1 * pixels)
    spread = float(np.percentile(np.abs(flat), 90)) or 1.0
    return np.asarray(np.clip(flat, -2.5 * spread, 2.5 * spread), np.float32)


class _Templates(NamedTuple):
    """The reference turned: (turns, places), weighted, of mean 0 and length 1; and the weights, one
    row for all turns, or one each where the cap is not round."""

    turned: Picture
    weights: Picture


def _templates(
    patch: Picture,
    grid: _Grid,
    weight: NDArray[np.float32],
    shape: NDArray[np.bool_] | None = None,
) -> _Templates:
    """`weight` of places of the photo; `shape`: which of `patch` are of a cap that is not round."""
    import cv2

    turned = cv2.remap(patch, grid.map_x, grid.map_y, cv2.INTER_LINEAR)
    weights = weight[None, :]
    if shape is not None:
        of_cap = cv2.remap(shape.astype(np.float32), grid.map_x, grid.map_y, cv2.INTER_LINEAR)
        weights = weights * of_cap + np.float32(1e-6)
    turned = turned - (turned * weights).sum(axis=1, keepdims=True) / weights.sum(
        axis=1, keepdims=True
    )
    length = np.sqrt((turned * turned * weights).sum(axis=1, keepdims=True))
    return _Templates(
        np.asarray(turned * weights / np.maximum(length, 1e-6), np.float32),
        np.asarray(weights, np.float32),
    )


def _unlike(templates: _Templates, patch: Picture, grid: _Grid, reach: int) -> Picture:
    """(turns, places): half the logarithm of what remains unlike, at every shift up to `reach`."""
    side = patch.shape[0]
    middle = side // 2
    shifts = np.arange(-reach, reach + 1)
    base = (grid.y + middle) * side + grid.x + middle
    off = (shifts[:, None] * side + shifts[None, :]).reshape(-1)
    columns = patch.reshape(-1)[base[:, None] + off[None, :]]
    weights = templates.weights
    total = weights.sum(axis=1, keepdims=True)
    mean = weights @ columns / total
    power = np.maximum(weights @ (columns * columns) / total - mean * mean, 1e-7) * total
    like = np.clip(templates.turned @ columns / np.sqrt(power), 0.0, 0.9995)
    return np.asarray(0.5 * np.log(1.0 - like * like), np.float32)


@dataclass
class _Search:
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


def turns_of(
    reference: Layers, photo: Layers, registration: Registration, circles: Sequence[Circle]
) -> list[Found]:
    """The turn of each circled cap from the reference to the photo."""
    rise = rise_of(registration, reference.grey.shape, photo.grey.shape)
    searches = [_coarse(reference, photo, registration, rise, circle) for circle in circles]
    groups = _alike(circles, [_look(reference, circle) for circle in circles])
    uppers = [_upper(circle, circles) for circle in circles]
    caps = [
        Evidence(np.array([c.x, c.y]), group, s.evidence, s.sought - s.flat, s.slope / COARSE)
        for c, s, group in zip(circles, searches, groups, strict=True)
    ]
    heights = [
        _heights(circles[groups.index(group)]) for group in range(max(groups, default=-1) + 1)
    ]
    carried = _carried(groups, uppers)
    vote = voted(rise, caps, heights, carried)
    _cover(searches, vote.shifts, uppers)
    marks = [
        _exact(reference, photo, _raised(registration, rise, search, vote, i), vote.shifts[i], cap)
        for i, (search, cap) in enumerate(zip(searches, caps, strict=True))
    ]
    vote = voted(rise, marks, heights, carried)
    found: list[Found | None] = [None] * len(circles)
    for _ in range(2):
        _cover(searches, vote.shifts, uppers)
        for i, (search, shift) in enumerate(zip(searches, vote.shifts, strict=True)):
            now = found[i]
            if now is None or _beside(search, shift, now) > AGAIN:
                raised = _raised(registration, rise, search, vote, i)
                found[i] = _fine(reference, photo, raised, shift)
        # Those that are sure tell more exactly where all are; the others are looked at again.
        vote = voted(rise, _surer(marks, searches, found), heights, carried)
    return [
        replace(each, beside=_beside(search, shift, each))
        for each, search, shift in zip(found, searches, vote.shifts, strict=True)
        if each is not None
    ]


def _cover(
    searches: Sequence[_Search],
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


def _beside(search: _Search, shift: NDArray[np.float64], found: Found) -> float:
    """Radii between where a cap was found and where all would have it."""
    off = search.back @ (np.array(found.place) - search.flat - shift)
    return float(np.hypot(off[0], off[1]))


def _about(
    reference: Layers, photo: Layers, search: _Search, centre: NDArray[np.float64], reach: int
) -> Picture:
    """What the mark alone says, without the outline, at every turn of `_grid(FINE)` and every shift
    of up to `reach` of its pixels about a place of the photo: as of `_unlike`."""
    circle, grid = search.circle, _grid(FINE, 3.0, 0.9)
    weight = _is_free(grid, circle.inner, search.under).astype(np.float32)
    round_it = np.eye(2) * circle.radius
    raw = reference.patch((circle.x, circle.y), round_it, FINE, grid.half)
    shape = _shape(raw, FINE, search.leaning / circle.radius)
    seen = photo.patch(centre, search.raised, FINE, grid.half + reach)
    if shape is None and not circle.inner:
        own, seen = refining.unlit(raw, FINE), refining.unlit(seen, FINE)
    else:
        own, seen = _level(raw, FINE), _level(seen, FINE)
    return _unlike(_templates(own, grid, weight, shape), seen, grid, reach)


def _exact(
    reference: Layers, photo: Layers, search: _Search, shift: NDArray[np.float64], cap: Evidence
) -> Evidence:
    """What the mark says of the place: from the side the outline is that of the wall too. A dot
    fits wherever it is as far from the middle as on the reference; where all caps of a panel lie,
    many dots tell together."""
    unlike = _about(reference, photo, search, search.flat + shift, EXACT).min(axis=0)
    side = 2 * EXACT + 1
    return replace(cap, unlike=unlike.reshape(side, side), centre=shift, step=search.raised / FINE)


def _surer(
    caps: Sequence[Evidence], searches: Sequence[_Search], found: Sequence[Found | None]
) -> list[Evidence]:
    """The evidence, where a cap was surely found that of its place alone."""
    out = []
    for cap, search, each in zip(caps, searches, found, strict=True):
        if each is None or each.alike < SURE or each.ahead < SURE_AHEAD or each.spread > FIXED:
            out.append(cap)
            continue
        at = np.array(each.place) - search.flat - cap.centre
        x, y = np.linalg.solve(cap.step, at) + EXACT
        axis = np.arange(2 * EXACT + 1)
        far = np.hypot(axis[None, :] - x, axis[:, None] - y) / FINE
        out.append(replace(cap, unlike=np.minimum(far, 0.5).astype(np.float32)))
    return out


def _upper(circle: Circle, circles: Sequence[Circle]) -> int | None:
    """Which of them sits on this one."""
    if not circle.inner:
        return None
    far = [math.hypot(c.x - circle.x, c.y - circle.y) if c.high else math.inf for c in circles]
    nearest = min(range(len(circles)), key=far.__getitem__)
    return nearest if far[nearest] < circle.radius else None


def _carried(groups: Sequence[int], uppers: Sequence[int | None]) -> dict[int, int]:
    """Of groups of caps that sit on others the group of those."""
    return {
        groups[upper]: group
        for group, upper in zip(groups, uppers, strict=True)
        if upper is not None
    }


def _raised(
    registration: Registration, rise: Rise, search: _Search, vote: Vote, number: int
) -> _Search:
    """With how the photo moves where the cap is seen: a plane above the panel looks there, but for
    its size, as the panel does at the same place of the photo."""
    circle = search.circle
    at = np.array([circle.x, circle.y])
    x, y = at + circle.radius * (search.back @ vote.shifts[number])
    slope = registration.slope(x, y, circle.radius) * circle.radius
    leaning = rise.own_shift(at, vote.heights[number], vote.extra)
    return replace(search, raised=slope, leaning=leaning)


class _Look(NamedTuple):
    """What tells makes of caps of one size apart: the tone (a logarithm), whether it fills its
    circle, and whether its mark is a dot."""

    tone: float
    is_round: bool
    has_dot: bool


def _look(reference: Layers, circle: Circle) -> _Look:
    grid = _grid(FINE, 3.0, 0.9)
    patch = reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, FINE, grid.half)
    on = np.hypot(grid.x, grid.y) / FINE > circle.inner
    tone = float(np.median(patch[grid.y + grid.half, grid.x + grid.half][on]))
    sharp = _level(
        reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, SHARP, SHARP), SHARP
    )
    is_round = _shape(patch, FINE, np.zeros(2)) is None
    has_dot = not circle.inner and _length(sharp, 0.0) < DOT
    return _Look(tone, is_round, has_dot)


def _alike(circles: Sequence[Circle], looks: Sequence[_Look]) -> list[int]:
    """The group of each: caps of one size and look are of one make, and alike in height."""
    firsts: list[tuple[Circle, _Look]] = []
    out = []
    for circle, look in zip(circles, looks, strict=True):
        for i, (first, its) in enumerate(firsts):
            if (
                abs(first.radius / circle.radius - 1) < 0.12
                and abs(first.inner - circle.inner) < 0.05
                and first.high == circle.high
                and abs(its.tone - look.tone) < SAME_TONE
                and its[1:] == look[1:]
            ):
                out.append(i)
                break
        else:
            out.append(len(firsts))
            firsts.append((circle, look))
    return out


def _heights(circle: Circle) -> NDArray[np.float64]:
    """Those that a cap may have, in pixels of the reference."""
    low, high = HEIGHTS_HIGH if circle.high else HEIGHTS
    return np.linspace(low, high, 20) * circle.radius


def _coarse(
    reference: Layers, photo: Layers, registration: Registration, rise: Rise, circle: Circle
) -> _Search:
    grid = _grid(COARSE, 8.0)
    plain = np.eye(2) * circle.radius
    own = reference.patch((circle.x, circle.y), plain, COARSE, grid.half)
    at = np.array([[circle.x, circle.y]])
    flat = registration.to_photo(at)[0]
    slope = registration.slope(circle.x, circle.y, circle.radius) * circle.radius
    back = np.asarray(np.linalg.inv(slope), np.float64)
    heights = _heights(circle)
    ends = rise.shifts(at, heights[[0, -1]], np.zeros((1, 3)))[0, :, 0]
    upper = rise.shifts(at, np.array([UPPER * circle.radius]), np.zeros((1, 3)))[0, 0, 0]
    under = back @ upper
    # On the reference, seen from the front, heights go away from the middle of the picture.
    middle = np.array(reference.grey.shape[::-1]) / 2
    over = UPPER * (at[0] - middle) / rise.distance
    weight = _weights(grid, circle.inner, under)
    templates = _templates(_level(own, COARSE), grid, weight)
    sought = flat + ends.mean(axis=0)
    half = float(np.linalg.norm(back @ (ends[1] - ends[0]))) / 2
    reach = math.ceil((half + ROOM) * COARSE)
    evidence = np.full((2 * reach + 1) ** 2, np.inf, np.float32)
    for size in SIZES:
        seen = photo.patch(sought, slope * size, COARSE, grid.half + reach)
        unlike = _unlike(templates, _level(seen, COARSE), grid, reach)
        evidence = np.minimum(evidence, unlike.min(axis=0))
    side = 2 * reach + 1
    return _Search(
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


def _fine(reference: Layers, photo: Layers, search: _Search, shift: NDArray[np.float64]) -> Found:
    circle = search.circle
    fits, is_round = _fits(reference, photo, search, search.flat + shift)
    sharp = _level(
        reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, SHARP, SHARP), SHARP
    )
    found = _found(photo, search.raised, fits, _sided(_waves(sharp, circle.inner)))
    found = replace(found, is_round=is_round)
    right, down = search.back @ (fits[0].centre - search.flat)
    return replace(found, shift=(float(right), float(down)), long=_length(sharp, circle.inner))


def _fits(
    reference: Layers, photo: Layers, search: _Search, expected: NDArray[np.float64]
) -> tuple[list[refining.Fit], bool]:
    """The likeliest turns made exact, the best first; and whether the cap is round."""
    circle = search.circle
    at, round_it = (circle.x, circle.y), np.eye(2) * circle.radius
    room = math.ceil(refining.PIXELS * (REACH - 1.0))
    around = reference.patch(at, round_it, refining.PIXELS, refining.PIXELS + room)
    shape = _shape(around, refining.PIXELS, search.leaning / circle.radius)
    own = around[room:-room, room:-room]
    cap = np.ones(own.shape, bool) if shape is None else shape[room:-room, room:-room]
    template = refining.Template.of(own, cap, circle.inner)

    def look(centre: Any, slope: Any) -> Picture:
        return photo.patch(centre, slope, refining.PIXELS, refining.PIXELS)

    def free(places: NDArray[np.float64], turned: NDArray[np.float64]) -> NDArray[np.bool_]:
        on_photo = _is_beside(turned, circle.inner, search.under)
        return on_photo & _is_beside(places, circle.inner, search.over)

    def fit(centre: NDArray[np.float64], turn: float) -> refining.Fit:
        where = refining.Expected(expected, WITHIN)
        return refining.refined(template, look, (centre, search.raised, turn), free, where)

    fits = [fit(centre, turn) for turn, centre in _starts(reference, photo, search, expected)]
    best = max(fits, key=lambda each: float(each.alike.max()))
    # What is as long on both sides looks much the same after half a turn.
    fits.append(fit(best.centre, best.turn + 180.0))
    return sorted(fits, key=lambda each: -float(each.alike.max())), shape is None


def _starts(
    reference: Layers, photo: Layers, search: _Search, expected: NDArray[np.float64]
) -> list[tuple[float, NDArray[np.float64]]]:
    """The turns that the mark speaks for most, each with its place, near to where all caps of the
    panel have this one."""
    turns = _grid(FINE, 3.0, 0.9).turns
    unlike = _about(reference, photo, search, expected, HELD)
    axis = np.arange(-HELD, HELD + 1) / FINE
    far = (axis[:, None] ** 2 + axis[None, :] ** 2).reshape(-1)
    unlike = unlike + (0.1 * far / WITHIN**2).astype(np.float32)
    best, places = unlike.min(axis=1), unlike.argmin(axis=1)
    out = list[tuple[float, NDArray[np.float64]]]()
    for _ in range(TURNS):
        most = int(best.argmin())
        down, right = divmod(int(places[most]), 2 * HELD + 1)
        step = np.array([right - HELD, down - HELD]) / FINE
        out.append((float(turns[most]), expected + search.raised @ step))
        best = np.where(_away(turns, float(turns[most])), best, np.inf)
    return out


def _shape(patch: Picture, pixels: int, leaning: NDArray[np.float64]) -> NDArray[np.bool_] | None:
    """Which places of a square patch of the reference, `pixels` a radius, are of the top of a cap
    that is not round: panel is what is of the panel's tone and reaches in from the circle, and wall
    is seen towards its foot, `leaning` radii back. None where it fills its circle, or cannot be
    told from the panel."""
    import cv2

    half = patch.shape[0] // 2
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    rho = np.hypot(x, y) / pixels
    edge = (rho > 0.9) & (rho < 1.1)
    panel, body = float(np.median(patch[edge])), float(np.median(patch[rho < 0.5]))
    if abs(panel - body) < LEAST_TONE:
        return None
    plain = ((np.abs(patch - panel) < abs(panel - body) / 2) & (rho < 1.1)).astype(np.uint8)
    # A mark may be of the panel's tone and reach to the edge, but it is narrow.
    plain = cv2.morphologyEx(plain, cv2.MORPH_OPEN, _disc(2 * round(NARROW * pixels / 2) + 1))
    _, parts = cv2.connectedComponents(plain)
    outside = np.isin(parts, np.unique(parts[edge & (plain > 0)])) & (plain > 0)
    _, parts = cv2.connectedComponents((~outside & (rho < 1.0)).astype(np.uint8))
    cap = (parts == parts[half, half]) & ~outside
    if not ROUND[0] < float(cap[rho < 0.9].mean()) < ROUND[1]:
        return None
    top = cap
    for part in (0.25, 0.5, 0.75, 1.0):
        right, down = np.rint(leaning * part * WALL * pixels)
        warp = np.array([[1.0, 0, right], [0, 1, down]])
        top = top & (cv2.warpAffine(cap.astype(np.uint8), warp, cap.shape) > 0)
    return np.asarray(top)


def _disc(pixels: int) -> Any:
    import cv2

    return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (pixels, pixels))


def _found(
    photo: Layers, slope: NDArray[np.float64], fits: list[refining.Fit], sided: float
) -> Found:
    best = fits[0]
    by = int(best.alike.argmax())
    others = [
        float(fit.alike[by]) for fit in fits if abs(_signed(fit.turn - best.turn)) > APART_DEG
    ]
    flat = np.linalg.svd(slope, compute_uv=False)
    bright, contrast = _light(photo.grey, best.centre, slope)
    return Found(
        turn=_signed(best.turn),
        alike=float(best.alike[by]),
        ahead=_left(max(others, default=0.0)) - _left(float(best.alike[by])),
        shown=best.shown,
        long=0.0,
        place=(float(best.centre[0]), float(best.centre[1])),
        beside=0.0,
        shift=(0.0, 0.0),
        pixels=float(flat[1]),
        aspect=float(flat[1] / flat[0]),
        bright=bright,
        contrast=contrast,
        sided=sided,
        spread=best.spread,
        is_round=True,
    )


def _left(alike: float) -> float:
    """Half the logarithm of what remains unlike."""
    return 0.5 * math.log(1.0 - min(max(alike, 0.0), 0.9995) ** 2)


def _length(clear: Picture, inner: float) -> float:
    """How far what stands out on a cap lies about its middle: the root of the mean square, in
    radii. Of a dot it is little, and a shift looks like a turn of it."""
    import cv2

    at_x, at_y, radii = _polar(clear.shape[0] // 2)
    rings = cv2.remap(clear, at_x, at_y, cv2.INTER_LINEAR)
    # A ring that is alike all around, such as the edge, marks no turn.
    rings = np.abs(rings - np.median(rings, axis=1, keepdims=True))
    rings[(radii <= inner) | (radii > 0.8)] = 0
    marked = rings > 0.5 * np.percentile(rings, 99.5)
    x, y = at_x[marked] / SHARP, at_y[marked] / SHARP
    share = np.broadcast_to(radii[:, None], rings.shape)[marked]
    return math.sqrt(_variance(x, share) + _variance(y, share)) if marked.any() else 0.0


def _variance(values: Any, share: Any) -> float:
    middle = np.average(values, weights=share)
    return float(np.average((values - middle) ** 2, weights=share))


@lru_cache(maxsize=1)
def _polar(half: int) -> tuple[Picture, Picture, NDArray[np.float32]]:
    """Where rings and angles lie in a patch of SHARP: (rings, angles), and the rings' radii."""
    radii = np.arange(0.16, 0.92, 0.03)
    angles = np.radians(np.arange(0.0, 360.0, 360.0 / ANGLES))
    x = half + SHARP * radii[:, None] * np.sin(angles)[None, :]
    y = half - SHARP * radii[:, None] * np.cos(angles)[None, :]
    return x.astype(np.float32), y.astype(np.float32), radii.astype(np.float32)


def _waves(patch: Picture, inner: float) -> NDArray[np.complex64]:
    """(rings, waves around): what the rings hold, without what light alone may put there.

    Light from a side brightens one half of a cap, and metal throws a double fan: one and two waves
    around, which stay where they are when the cap turns.
    """
    import cv2

    x, y, radii = _polar(patch.shape[0] // 2)
    waves = np.fft.rfft(cv2.remap(patch, x, y, cv2.INTER_LINEAR), axis=1)
    waves[:, :3] = 0
    waves *= np.sqrt(radii)[:, None]
    waves[radii < inner + 0.06 if inner else radii < 0] = 0
    return np.asarray(waves, np.complex64)


def _sided(waves: NDArray[np.complex64]) -> float:
    """How much of the cap tells it from itself after half a turn, 0 to about 0.5.

    Waves of even number around are the same after half a turn: of a slot there is nothing else.
    """
    power = (np.abs(waves) ** 2).sum(axis=0)
    return float(power[1::2].sum() / max(float(power.sum()), 1e-9))


def _away(turns: Any, turn: float) -> Any:
    return np.abs((turns - turn + 180) % 360 - 180) > APART_DEG


def _signed(turn: float) -> float:
    return (turn + 180.0) % 360.0 - 180.0


def _light(grey: Any, centre: Any, slope: Any) -> tuple[float, float]:
    """The share of the cap that is burnt out, and between which grey levels the rest lies."""
    reach = int(np.abs(slope).sum(axis=1).max()) + 1
    x, y = int(centre[0]), int(centre[1])
    part = grey[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1]
    if not part.size:
        return 0.0, 0.0
    low, high = np.percentile(part, [5, 95])
    return float((part >= 250).mean()), float(high - low)
