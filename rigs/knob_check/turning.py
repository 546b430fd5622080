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
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check import refining
from rigs.knob_check.parallax import Evidence, Rise, rise_of, voted
from rigs.knob_check.registration import Registration

Picture = NDArray[np.float32]

REACH = 1.22  # radii compared: the cap, its outline and a little of the panel
COARSE, FINE = 9, 22  # pixels of a radius
HEIGHTS = (0.05, 2.4)  # radii that caps stand off a panel
HEIGHTS_HIGH = (1.5, 6.0)  # and those that sit on another
ROOM = 0.9  # radii that a cap is sought beside the way of heights
VOTED = 0.35  # radii about the place on which all caps agree
UPPER = 1.2  # radii that a cap on another is higher, about
SHARP, FREE = 36, 6
FOLLOWED = 3  # times that the mark is followed
ANGLES = 180
NEAR = 6  # pixels of FINE that the place is searched about
SIZES = (0.95, 1.0, 1.06)
AGAIN = 0.2  # radii beside where all caps would have it: it is looked at again
SURE, SURE_AHEAD = 0.85, 0.3  # of `Found`: its place counts for the others
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
    0.5.
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


def _templates(patch: Picture, grid: _Grid, weight: NDArray[np.float32]) -> Picture:
    """(turns, places): the reference turned, weighted, of mean 0 and length 1."""
    import cv2

    turned = cv2.remap(patch, grid.map_x, grid.map_y, cv2.INTER_LINEAR)
    mean = (turned @ weight) / weight.sum()
    turned = (turned - mean[:, None]) * np.sqrt(weight)
    length = np.sqrt((turned * turned).sum(axis=1, keepdims=True))
    return np.asarray(turned / np.maximum(length, 1e-6), np.float32)


def _unlike(templates: Picture, patch: Picture, grid: _Grid, weight: Any, reach: int) -> Picture:
    """(turns, places): half the logarithm of what remains unlike, at every shift up to `reach`."""
    side = patch.shape[0]
    middle = side // 2
    shifts = np.arange(-reach, reach + 1)
    base = (grid.y + middle) * side + grid.x + middle
    off = (shifts[:, None] * side + shifts[None, :]).reshape(-1)
    columns = patch.reshape(-1)[base[:, None] + off[None, :]]
    total = weight.sum()
    mean = weight @ columns / total
    power = np.maximum(weight @ (columns * columns) / total - mean * mean, 1e-7) * total
    product = templates @ (columns * np.sqrt(weight)[:, None])
    like = np.clip(product / np.sqrt(power)[None, :], 0.0, 0.9995)
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


def turns_of(
    reference: Layers, photo: Layers, registration: Registration, circles: Sequence[Circle]
) -> list[Found]:
    """The turn of each circled cap from the reference to the photo."""
    rise = rise_of(registration, reference.grey.shape, photo.grey.shape)
    searches = [_coarse(reference, photo, registration, rise, circle) for circle in circles]
    groups = _alike(circles)
    uppers = [_upper(circle, circles) for circle in circles]
    caps = [
        Evidence(np.array([c.x, c.y]), group, s.evidence, s.sought - s.flat, s.slope / COARSE)
        for c, s, group in zip(circles, searches, groups, strict=True)
    ]
    heights = [
        _heights(circles[groups.index(group)]) for group in range(max(groups, default=-1) + 1)
    ]
    carried = _carried(groups, uppers)
    shifts = voted(rise, caps, heights, carried)
    found: list[Found | None] = [None] * len(circles)
    for _ in range(2):
        _cover(searches, shifts, uppers)
        for i, (search, shift) in enumerate(zip(searches, shifts, strict=True)):
            now = found[i]
            if now is None or _beside(search, shift, now) > AGAIN:
                raised = _raised(registration, search, shift)
                found[i] = _fine(reference, photo, raised, shift)
        # Those that are sure tell more exactly where all are; the others are looked at again.
        shifts = voted(rise, _surer(caps, searches, found), heights, carried)
    return [
        replace(each, beside=_beside(search, shift, each))
        for each, search, shift in zip(found, searches, shifts, strict=True)
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


def _surer(
    caps: Sequence[Evidence], searches: Sequence[_Search], found: Sequence[Found | None]
) -> list[Evidence]:
    """The evidence, where a cap was surely found that of its place alone."""
    out = []
    for cap, search, each in zip(caps, searches, found, strict=True):
        if each is None or each.alike < SURE or each.ahead < SURE_AHEAD:
            out.append(replace(cap, unlike=cap.unlike * np.float32(0.4)))
            continue
        x, y = search.back @ (np.array(each.place) - search.sought) * COARSE + search.reach
        axis = np.arange(2 * search.reach + 1)
        far = np.hypot(axis[None, :] - x, axis[:, None] - y) / COARSE
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


def _raised(registration: Registration, search: _Search, shift: NDArray[np.float64]) -> _Search:
    """With how the photo moves where the cap is seen: a plane above the panel looks there, but for
    its size, as the panel does at the same place of the photo."""
    circle = search.circle
    x, y = np.array([circle.x, circle.y]) + circle.radius * (search.back @ shift)
    slope = registration.slope(x, y, circle.radius) * circle.radius
    return replace(search, raised=slope)


def _alike(circles: Sequence[Circle]) -> list[int]:
    """The group of each: caps of one size are of one make, and alike in height."""
    firsts: list[Circle] = []
    out = []
    for circle in circles:
        for i, first in enumerate(firsts):
            if (
                abs(first.radius / circle.radius - 1) < 0.08
                and abs(first.inner - circle.inner) < 0.05
                and first.high == circle.high
            ):
                out.append(i)
                break
        else:
            out.append(len(firsts))
            firsts.append(circle)
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
        unlike = _unlike(templates, _level(seen, COARSE), grid, weight, reach)
        evidence = np.minimum(evidence, unlike.min(axis=0))
    side = 2 * reach + 1
    return _Search(
        circle, flat, sought, slope, evidence.reshape(side, side), reach, back, slope, under, over
    )


def _near(search: _Search, shift: NDArray[np.float64]) -> Picture:
    """The evidence near the shift (pixels of the photo) that all caps voted for."""
    x0, y0 = search.back @ (search.flat + shift - search.sought)
    axis = np.arange(-search.reach, search.reach + 1) / COARSE
    far = np.hypot(axis[None, :] - x0, axis[:, None] - y0)
    return np.asarray(np.where(far <= VOTED, search.evidence, np.inf), np.float32)


@dataclass(frozen=True)
class _Place:
    """A place of the cap that its outline gave, and what was unlike there."""

    least: float
    centre: NDArray[np.float64]
    slope: NDArray[np.float64]


@dataclass(frozen=True)
class _Mark:
    """What the mark says at a place: unlike over turns without the outline, and the rings alike."""

    alone: Picture
    rings: Picture
    centre: NDArray[np.float64]


def _fine(reference: Layers, photo: Layers, search: _Search, shift: NDArray[np.float64]) -> Found:
    circle, grid = search.circle, _grid(FINE, 3.0)
    weight = _weights(grid, circle.inner, search.under)
    round_it = np.eye(2) * circle.radius
    own = _level(reference.patch((circle.x, circle.y), round_it, FINE, grid.half), FINE)
    sharp = _grid(SHARP, 3.0, 0.9)
    clear = _level(reference.patch((circle.x, circle.y), round_it, SHARP, sharp.half), SHARP)
    allowed = _near(search, shift)
    templates = _templates(own, grid, weight)
    places = [
        _outlined(templates, weight, photo, search, near)
        for near in _candidates(allowed, search.reach)
    ]
    least = min(place.least for place in places)
    # Where two places do as well by the outline, the mark decides.
    tried = [
        (place, _marked(clear, photo, place, search))
        for place in places
        if place.least <= least + 0.12
    ]
    place, mark = max(tried, key=lambda pair: float(pair[1].rings.max()))
    fits = _fits(reference, photo, search, shift, (place, mark))
    found = _found(photo, place, fits, _sided(_waves(clear, circle.inner)))
    right, down = search.back @ (fits[0].centre - search.flat)
    long = _length(clear, circle.inner)
    return replace(found, shift=(float(right), float(down)), long=long)


def _fits(
    reference: Layers,
    photo: Layers,
    search: _Search,
    shift: NDArray[np.float64],
    rough: tuple[_Place, _Mark],
) -> list[refining.Fit]:
    circle = search.circle
    at, round_it = (circle.x, circle.y), np.eye(2) * circle.radius
    own = reference.patch(at, round_it, refining.PIXELS, refining.PIXELS)
    place, mark = rough

    def look(centre: Any, slope: Any) -> Picture:
        return photo.patch(centre, slope, refining.PIXELS, refining.PIXELS)

    def free(places: NDArray[np.float64], turned: NDArray[np.float64]) -> NDArray[np.bool_]:
        on_photo = _is_beside(turned, circle.inner, search.under)
        return on_photo & _is_beside(places, circle.inner, search.over)

    turns = np.arange(0.0, 360.0, 360.0 / ANGLES)
    first = float(turns[int(mark.rings.argmax())])
    away = _away(turns, first)
    second = float(turns[away][int(mark.rings[away].argmax())])
    free_turn = float(_grid(SHARP, 3.0, 0.9).turns[int(mark.alone.argmin())])
    voted_at = search.flat + shift
    starts = [
        (first, mark.centre),
        (first, voted_at),
        (second, mark.centre),
        (first + 180.0, mark.centre),
        (free_turn, mark.centre),
        (free_turn, voted_at),
    ]
    fits = [
        refining.refined(own, look, (centre, place.slope, turn), free, circle.inner)
        for turn, centre in starts
    ]
    return sorted(fits, key=lambda fit: -fit.alike)


def _outlined(
    templates: Picture, weight: Any, photo: Layers, search: _Search, shift: NDArray[np.float64]
) -> _Place:
    """The best place and size near a shift, outline and all."""
    grid = _grid(FINE, 3.0)
    least, best_centre, best_slope = math.inf, search.sought, search.raised
    centre = search.sought + search.slope @ shift
    for size in SIZES:
        slope = search.raised * size
        seen = _level(photo.patch(centre, slope, FINE, grid.half + NEAR), FINE)
        unlike = _unlike(templates, seen, grid, weight, NEAR)
        if float(unlike.min()) < least:
            least, best_slope = float(unlike.min()), slope
            best_centre = centre + slope @ (_step(unlike, NEAR) / FINE)
    return _Place(least, best_centre, best_slope)


def _step(unlike: Picture, reach: int) -> NDArray[np.float64]:
    """The shift at which least is unlike, right and down."""
    place, side = int(unlike.min(axis=0).argmin()), 2 * reach + 1
    return np.array([place % side - reach, place // side - reach], float)


def _marked(clear: Picture, photo: Layers, place: _Place, search: _Search) -> _Mark:
    """What the mark alone says near a place. From the side the outline is that of the wall too, and
    off by some of it; the mark is followed to where it fits."""
    sharp, inner = _grid(SHARP, 3.0, 0.9), search.circle.inner
    free = _is_free(sharp, inner, search.under)
    centre, marks = place.centre, list[_Mark]()
    for _ in range(FOLLOWED):
        raw = photo.patch(centre, place.slope, SHARP, sharp.half + FREE)
        within = ~_burnt(raw)[FREE:-FREE, FREE:-FREE][sharp.y + sharp.half, sharp.x + sharp.half]
        weight = np.where(free & within, 1.0, 0.02 * free).astype(np.float32)
        templates = _templates(clear, sharp, weight)
        unlike = _unlike(templates, _level(raw, SHARP), sharp, weight, FREE)
        step = _step(unlike, FREE)
        centre = centre + place.slope @ (step / SHARP)
        raw = photo.patch(centre, place.slope, SHARP, sharp.half)
        marks.append(_Mark(unlike.min(axis=1), _round(clear, raw, inner, search), centre))
        if np.abs(step).max() < FREE - 1:
            break
    return max(marks, key=lambda mark: float(mark.rings.max()))


def _burnt(raw: Picture) -> NDArray[np.bool_]:
    """Where light has eaten what was there: wider than a white mark is."""
    import cv2

    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (SHARP // 4, SHARP // 4))
    bright = (raw > math.log(246.0 + 8.0)).astype(np.uint8)
    return np.asarray(cv2.morphologyEx(bright, cv2.MORPH_OPEN, kernel) > 0)


def _found(photo: Layers, place: _Place, fits: list[refining.Fit], sided: float) -> Found:
    best = fits[0]
    others = [fit.alike for fit in fits if abs(_signed(fit.turn - best.turn)) > APART_DEG]
    flat = np.linalg.svd(place.slope, compute_uv=False)
    bright, contrast = _light(photo.grey, best.centre, place.slope)
    return Found(
        turn=_signed(best.turn),
        alike=best.alike,
        ahead=best.alike - max(others, default=0.0),
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
    )


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


def _candidates(allowed: Picture, reach: int) -> list[NDArray[np.float64]]:
    """The best shift of the coarse look, in radii, and the best one well away from it."""
    out: list[NDArray[np.float64]] = []
    left = allowed.copy()
    side = left.shape[0]
    first = float(left.min())
    for _ in range(2):
        place = int(left.argmin())
        if not np.isfinite(left.flat[place]) or left.flat[place] > first + 0.25:
            break
        row, column = divmod(place, side)
        out.append(np.array([column - reach, row - reach]) / COARSE)
        y, x = np.mgrid[0:side, 0:side]
        left[np.hypot(x - column, y - row) <= 0.4 * COARSE] = np.inf
    return out or [np.zeros(2)]


@lru_cache(maxsize=1)
def _polar(half: int) -> tuple[Picture, Picture, NDArray[np.float32]]:
    """Where rings and angles lie in a patch of SHARP: (rings, angles), and the rings' radii."""
    radii = np.arange(0.16, 0.92, 0.03)
    angles = np.radians(np.arange(0.0, 360.0, 360.0 / ANGLES))
    x = half + SHARP * radii[:, None] * np.sin(angles)[None, :]
    y = half - SHARP * radii[:, None] * np.cos(angles)[None, :]
    return x.astype(np.float32), y.astype(np.float32), radii.astype(np.float32)


def _rings(patch: Picture, inner: float) -> Picture:
    """(rings, angles): what the rings hold, without what light alone may put there.

    Light from a side brightens one half of a cap, and metal throws a double fan: one and two waves
    around, which stay where they are when the cap turns.
    """
    waves = _waves(patch, inner)
    return np.asarray(np.fft.irfft(waves, n=ANGLES, axis=1), np.float32)


def _waves(patch: Picture, inner: float) -> NDArray[np.complex64]:
    """The same as waves: (rings, waves around)."""
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


def _round(own: Picture, raw: Picture, inner: float, search: _Search) -> Picture:
    """The correlation of the rings of two patches over turns of 360° / ANGLES, of what of the
    second is neither burnt out nor covered by a cap on this one."""
    import cv2

    x, y, radii = _polar(raw.shape[0] // 2)
    burnt = _burnt(raw)
    filled = np.where(burnt, np.float32(np.median(raw)), raw)
    a, b = _rings(own, inner), _rings(_level(filled, SHARP), inner)
    hidden = cv2.remap(burnt.astype(np.float32), x, y, cv2.INTER_LINEAR) > 0.5
    if inner:
        angles = np.radians(np.arange(0.0, 360.0, 360.0 / ANGLES))
        at = np.stack([np.outer(radii, np.sin(angles)), -np.outer(radii, np.cos(angles))], axis=-1)
        hidden |= ~_is_beside(at, inner, search.under)
    seen = (~hidden).astype(np.float32)
    b = b * seen
    a = a * _is_beside(at, inner, search.over) if inner else a
    product = np.conj(np.fft.rfft(a, axis=1)) * np.fft.rfft(b, axis=1)
    power = np.conj(np.fft.rfft(a * a, axis=1)) * np.fft.rfft(seen, axis=1)
    over = np.fft.irfft(product.sum(axis=0), n=ANGLES)
    own_power = np.maximum(np.fft.irfft(power.sum(axis=0), n=ANGLES), 0.05 * float((a * a).sum()))
    return np.asarray(over / np.sqrt(own_power * max(float((b * b).sum()), 1e-9)), np.float32)


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
