"""Lay one photo of a panel over another: where each place of the first is in the second. Pure.

Features of both photos are matched (SIFT; Lowe, “Distinctive image features from scale-invariant
keypoints”, 2004), a plane is fitted to the matches robustly (MAGSAC++; Barath and others, 2020),
and what a phone's lens bends is undone by one number (the division model; Fitzgibbon, 2001, from
memory) and a smooth remainder of second order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Look(NamedTuple):
    """Pixels of the longer edge in which features are looked for, and how many: of the reference
    and of the photo. `squeezed`: the reference also as it looks from aside, by so much in each of
    four directions, and planes are tried `tries` times."""

    edge_a: int
    most_a: int
    edge_b: int
    most_b: int
    squeezed: float = 1.0
    tries: int = 4000


# Where one look finds no panel, the next looks closer, or from aside (Yu and Morel, “ASIFT”, 2011,
# from memory).
LOOKS = (
    Look(820, 1500, 760, 2500),
    Look(1300, 3000, 1300, 5000),
    Look(820, 1500, 760, 2500, 1.4, 20000),
    Look(1300, 3000, 1300, 5000, 1.4, 20000),
)
TILE = 860  # pixels: of larger pictures features are looked for in parts, which spares memory
RATIO, RATIO_NEAR = 0.8, 0.85
ALIKE = 300.0  # between what SIFT says of two places, each of length 512
GUIDED_PX = (28.0, 16.0)
LEAST_ROUGH, LEAST_MATCHES = 8, 24
PLENTY = 70  # matches on the plane with which no second look is needed
NEAR_PX = 3.5  # a match counts for the plane, in pixels of a picture whose longer edge is EDGE
BENT_PX = 10.0  # and for the remainder, at first
EDGE = 800
BENDS = (-0.075, -0.05, -0.025, 0.0, 0.025, 0.05, 0.075)  # of lenses, at the corner


@dataclass(frozen=True)
class Lens:
    """`bend`: by how much of the way from the middle the corner is nearer to it than it would be
    through a straight lens. `middle` and `corner`, its distance from there, in pixels."""

    bend: float
    middle: Floats
    corner: float

    def straight(self, points: Floats) -> Floats:
        """Where a straight lens would show what is at `points`, shape (…, 2)."""
        off = points - self.middle
        far = (off**2).sum(axis=-1, keepdims=True) / self.corner**2
        return np.asarray(self.middle + off / (1 - self.bend * far))

    def bent(self, points: Floats) -> Floats:
        """Where this one shows what a straight lens would show at `points`, shape (…, 2)."""
        off = points - self.middle
        far = (off**2).sum(axis=-1, keepdims=True) / self.corner**2
        # Far outside the picture there is no answer; what is there is not looked at.
        root = np.sqrt(np.maximum(1 + 4 * self.bend * far, 0.05))
        return np.asarray(self.middle + off * 2 / (1 + root))

    def scaled(self, scale: float) -> Lens:
        return Lens(self.bend, self.middle * scale, self.corner * scale)


@dataclass(frozen=True)
class Registration:
    """The way from the reference to the photo, both in pixels of their full size.

    `plane` is 3 × 3, as a straight lens would show it; `bend` 6 × 2 holds the remainder in terms of
    `terms_of`; `places` are the matches in the reference, shape (n, 2).
    """

    plane: Floats
    lens: Lens
    bend: Floats
    middle: Floats
    span: float
    places: Floats

    def to_photo(self, points: Floats) -> Floats:
        """Where `points` of the reference, shape (n, 2), are in the photo."""
        seen = self.lens.bent(through(self.plane, points))
        return seen + terms_of((points - self.middle) / self.span) @ self.bend

    def slope(self, x: float, y: float, step: float) -> Floats:
        """How the photo moves with the reference at (x, y): 2 × 2, columns for right and down."""
        around = np.array([[x - step, y], [x + step, y], [x, y - step], [x, y + step]])
        left, right, up, down = self.to_photo(around)
        return np.column_stack([(right - left) / (2 * step), (down - up) / (2 * step)])


def terms_of(at: Floats) -> Floats:
    u, v = at[:, 0], at[:, 1]
    return np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])


def through(plane: Floats, points: Floats) -> Floats:
    ahead = np.column_stack([points, np.ones(len(points))]) @ plane.T
    depth = ahead[:, 2:]
    return np.asarray(ahead[:, :2] / np.where(np.abs(depth) < 1e-9, 1e-9, depth))


def align(
    reference: NDArray[np.uint8], photo: NDArray[np.uint8], region: tuple[float, ...]
) -> Registration | None:
    """Of two grey pictures taken from about the same side; `region` (left, upper, right, lower) is
    where the panel is in the reference, in pixels. None where they do not show the same."""
    for look in LOOKS:
        found = None if look.squeezed > 1.0 else aligned(reference, photo, region, look)
        if found is not None:
            return found
    return None


def aligned(
    reference: NDArray[np.uint8],
    photo: NDArray[np.uint8],
    region: tuple[float, ...],
    look: Look,
) -> Registration | None:
    """As `align`, by one look."""
    import cv2

    cv2.setRNGSeed(7)  # the same photos give the same answer
    whole_a, scale_a = _small(reference, look.edge_a)
    small_b, scale_b = _small(photo, look.edge_b)
    left, upper = (max(0, round(v * scale_a)) for v in region[:2])
    right, lower = (round(v * scale_a) for v in region[2:])
    small_a = whole_a[upper:lower, left:right]
    if min(small_a.shape) < 32:
        return None
    near_px = NEAR_PX * look.edge_b / EDGE
    kept = _features(small_a, look.most_a)
    sought = kept if look.squeezed == 1.0 else _from_aside(small_a, look.most_a, look.squeezed)
    a, b = _matches(sought, _features(small_b, look.most_b), RATIO)
    view = _view(a, b, small_b.shape, BENDS, near_px, look.tries)
    if view is None:
        return None
    for within in GUIDED_PX:
        if _agreeing(view, a, b, near_px).sum() >= PLENTY:
            break
        # Seen as in the reference, far more of it can be matched; and what was no panel at all
        # does not become one.
        flat = _seen_as(small_a, small_b, view)
        a, b = _matches(kept, _features(flat, look.most_a), RATIO_NEAR, within)
        b = view.bent(b) if len(b) else b
        bends = view.lens.bend + 0.5 * np.array(BENDS[2:5])
        view = _view(a, b, small_b.shape, bends, near_px, look.tries)
        if view is None:
            return None
    found = _bent(view, a, b, near_px)
    if found is None:
        return None
    bend, middle, span, near = found
    corner = np.array([left, upper], float)
    # Back to the pixels of the full pictures.
    up = np.diag([1 / scale_b, 1 / scale_b, 1.0])
    down = np.array([[scale_a, 0, -left], [0, scale_a, -upper], [0, 0, 1.0]])
    return Registration(
        up @ view.plane @ down,
        view.lens.scaled(1 / scale_b),
        bend / scale_b,
        (middle + corner) / scale_a,
        span / scale_a,
        (a[near] + corner) / scale_a,
    )


@dataclass(frozen=True)
class _View:
    """A plane through a lens, in pixels of the small pictures."""

    plane: Floats
    lens: Lens

    def bent(self, points: Floats) -> Floats:
        return self.lens.bent(through(self.plane, points))


def _seen_as(small_a: Any, small_b: Any, view: _View) -> NDArray[np.uint8]:
    """The photo as the reference would show it."""
    import cv2

    height, width = small_a.shape
    x, y = np.meshgrid(np.arange(width, dtype=float), np.arange(height, dtype=float))
    at = view.bent(np.column_stack([x.ravel(), y.ravel()])).astype(np.float32)
    at = at.reshape(height, width, 2)
    return np.asarray(cv2.remap(small_b, at, None, cv2.INTER_LINEAR), np.uint8)


def _small(picture: NDArray[np.uint8], edge: int) -> tuple[NDArray[np.uint8], float]:
    import cv2

    scale = min(1.0, edge / max(picture.shape))
    if scale == 1.0:
        return picture, 1.0
    small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), scale


_Features = tuple[Floats, Any]


def _features(picture: NDArray[np.uint8], most: int) -> _Features:
    """Places, shape (n, 2), and what is there."""
    import cv2

    # Dark pictures have features too faint for the usual limit.
    even = np.asarray(cv2.createCLAHE(2.0, (8, 8)).apply(picture))
    parts = [_tiles(side) for side in even.shape]
    share = math.ceil(most / (len(parts[0]) * len(parts[1])))
    finder = cv2.SIFT_create(share, contrastThreshold=0.02)  # type: ignore[attr-defined]
    places, whats = [np.empty((0, 2))], list[Any]()
    for upper, lower in parts[0]:
        for left, right in parts[1]:
            points, what = finder.detectAndCompute(even[upper:lower, left:right], None)
            if len(points):
                places.append(np.array([p.pt for p in points], float) + [left, upper])
                whats.append(what)
    return np.concatenate(places), np.concatenate(whats) if whats else None


def _from_aside(picture: NDArray[np.uint8], most: int, squeezed: float) -> _Features:
    """The features of what it looks like from four sides, at their places in the picture."""
    import cv2

    height, width = picture.shape
    ends = np.array([[0, 0], [width, 0], [0, height], [width, height]], float)
    places, whats = [np.empty((0, 2))], list[Any]()
    for way in np.radians([0, 45, 90, 135]):
        axes = np.array([[math.cos(way), math.sin(way)], [-math.sin(way), math.cos(way)]])
        squeeze = axes.T @ np.diag([1 / squeezed, 1.0]) @ axes
        corners = ends @ squeeze.T
        low = corners.min(axis=0)
        size = np.ceil(corners.max(axis=0) - low).astype(int)
        warp = np.column_stack([squeeze, -low])
        seen = cv2.warpAffine(
            picture, warp, (int(size[0]), int(size[1])), borderMode=cv2.BORDER_REPLICATE
        )
        points, what = _features(np.asarray(seen, np.uint8), most)
        if what is not None:
            places.append((points + low) @ np.linalg.inv(squeeze).T)
            whats.append(what)
    return np.concatenate(places), np.concatenate(whats) if whats else None


def _tiles(length: int) -> list[tuple[int, int]]:
    """Parts of a side that lap over each other."""
    count = math.ceil(length / TILE)
    step = length / count
    return [
        (max(0, int(step * i) - 24), min(length, int(step * (i + 1)) + 24)) for i in range(count)
    ]


def _matches(
    a: _Features, b: _Features, ratio: float, within: float | None = None
) -> tuple[Floats, Floats]:
    """Places that look alike, clearly more so than the next; `within` so many pixels, if given."""
    import cv2

    none = np.empty((0, 2))
    if len(a[0]) < 2 or len(b[0]) < 2:
        return none, none
    near = None
    if within is not None:
        # One axis after the other: of both at once there would be tens of megabytes.
        near = np.ones((len(a[0]), len(b[0])), np.uint8)
        for axis in (0, 1):
            one, two = (side[0][:, axis].astype(np.float32) for side in (a, b))
            near &= np.abs(one[:, None] - two[None, :]) < within
    best: dict[int, Any] = {}
    for pair in cv2.BFMatcher(cv2.NORM_L2).knnMatch(a[1], b[1], k=2, mask=near):
        if not pair:
            continue
        first = pair[0]
        clear = len(pair) < 2 or first.distance < ratio * pair[1].distance
        # Alone in its neighbourhood, it must be alike by itself.
        if not clear or (within is not None and first.distance > ALIKE):
            continue
        kept = best.get(first.trainIdx)
        if kept is None or first.distance < kept.distance:
            best[first.trainIdx] = first
    if not best:
        return none, none
    return (
        a[0][[m.queryIdx for m in best.values()]],
        b[0][[m.trainIdx for m in best.values()]],
    )


def _view(
    a: Floats,
    b: Floats,
    size: tuple[int, ...],
    bends: Sequence[float] | Floats,
    near_px: float,
    tries: int,
) -> _View | None:
    """The plane and the lens with which most of the matches agree, if a camera can see one so."""
    middle = np.array([size[1] / 2, size[0] / 2])
    best, most = None, LEAST_ROUGH - 1
    for bend in bends:
        lens = Lens(float(bend), middle, float(np.hypot(*middle)))
        plane = _plane(a, lens.straight(b), near_px, tries)
        if plane is None:
            continue
        view = _View(plane, lens)
        agreeing = int(_agreeing(view, a, b, near_px).sum())
        if agreeing > most:
            best, most = view, agreeing
    return best


def _plane(a: Floats, b: Floats, near_px: float, tries: int) -> Floats | None:
    import cv2

    if len(a) < LEAST_ROUGH:
        return None
    plane, _ = cv2.findHomography(a, b, cv2.USAC_MAGSAC, near_px, maxIters=tries, confidence=0.999)
    if plane is None or not _is_view(plane, a):
        return None
    return np.asarray(plane, float)


def _agreeing(view: _View, a: Floats, b: Floats, near_px: float) -> NDArray[Any]:
    return np.asarray(np.hypot(*(b - view.bent(a)).T) < near_px)


def _is_view(plane: Any, a: Floats) -> bool:
    """Whether a camera can see it so: not mirrored, not folded, not out of all proportion."""
    low, high = a.min(axis=0), a.max(axis=0)
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    depth = np.column_stack([corners, np.ones(4)]) @ np.asarray(plane)[2]
    if depth.min() <= 0.05 * depth.max():
        return False
    seen = through(np.asarray(plane), corners)
    edges = np.roll(seen, -1, axis=0) - seen
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    if turns.min() <= 0:
        return False
    area = float(np.prod(high - low))
    return bool(0.04 < 0.5 * turns.sum() / 2 / max(area, 1.0) < 25)


def _bent(
    view: _View, a: Floats, b: Floats, near_px: float
) -> tuple[Floats, Floats, float, NDArray[Any]] | None:
    """The remainder, the middle and span it is told in, and the matches that agree."""
    off = b - view.bent(a)
    near = np.hypot(*off.T) < near_px
    if near.sum() < LEAST_MATCHES:
        return None
    middle = a[near].mean(axis=0)
    span = float(np.abs(a[near] - middle).max()) or 1.0
    terms = terms_of((a - middle) / span)
    bend = np.zeros((6, 2))
    wide = near
    hold = np.diag([1.0, 1, 1, 3, 3, 3])  # few matches bend nothing
    for limit in np.array([BENT_PX, 6.0, 3.0, 2.5]) * near_px / NEAR_PX:
        wide = np.hypot(*(off - terms @ bend).T) < limit
        if wide.sum() < LEAST_MATCHES:
            return None
        bend = np.linalg.solve(terms[wide].T @ terms[wide] + hold, terms[wide].T @ off[wide])
    return bend, middle, span, wide
