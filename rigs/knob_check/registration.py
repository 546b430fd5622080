"""Lay one photo of a panel over another: where each place of the first is in the second. Pure.

Features of both photos are matched (SIFT; Lowe, “Distinctive image features from scale-invariant
keypoints”, 2004), a plane is fitted to the matches robustly (MAGSAC++; Barath and others, 2020),
and what a phone's lens bends is taken up by a smooth remainder of second order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EDGE, EDGE_NEW = 820, 760  # pixels of the longer edge in which features are looked for
FEATURES, FEATURES_NEW = 1500, 2500
RATIO, RATIO_NEAR = 0.8, 0.85
ALIKE = 300.0  # between what SIFT says of two places, each of length 512
GUIDED_PX = (28.0, 16.0)
LEAST_ROUGH, LEAST_MATCHES = 8, 24
PLENTY = 70  # matches on the plane with which no second look is needed
NEAR_PX = 3.5  # a match counts for the plane, in pixels of the picture of EDGE
BENT_PX = 14.0  # and for the remainder, at first


@dataclass(frozen=True)
class Registration:
    """The way from the reference to the photo, both in pixels of their full size.

    `plane` is 3 × 3; `bend` 6 × 2 holds the remainder in terms of `_terms`; `places` are the
    matches in the reference, shape (n, 2).
    """

    plane: Floats
    bend: Floats
    middle: Floats
    span: float
    places: Floats

    def to_photo(self, points: Floats) -> Floats:
        """Where `points` of the reference, shape (n, 2), are in the photo."""
        return _through(self.plane, points) + _terms((points - self.middle) / self.span) @ self.bend

    def slope(self, x: float, y: float, step: float) -> Floats:
        """How the photo moves with the reference at (x, y): 2 × 2, columns for right and down."""
        around = np.array([[x - step, y], [x + step, y], [x, y - step], [x, y + step]])
        left, right, up, down = self.to_photo(around)
        return np.column_stack([(right - left) / (2 * step), (down - up) / (2 * step)])


def _terms(at: Floats) -> Floats:
    u, v = at[:, 0], at[:, 1]
    return np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])


def _through(plane: Floats, points: Floats) -> Floats:
    ahead = np.column_stack([points, np.ones(len(points))]) @ plane.T
    depth = ahead[:, 2:]
    return np.asarray(ahead[:, :2] / np.where(np.abs(depth) < 1e-9, 1e-9, depth))


def align(
    reference: NDArray[np.uint8], photo: NDArray[np.uint8], region: tuple[float, ...]
) -> Registration | None:
    """Of two grey pictures; `region` (left, upper, right, lower) is where the panel is in the
    reference, in pixels. None where the photo does not show the same panel."""
    import cv2

    cv2.setRNGSeed(7)  # the same photos give the same answer
    whole_a, scale_a = _small(reference, EDGE)
    small_b, scale_b = _small(photo, EDGE_NEW)
    left, upper = (max(0, round(v * scale_a)) for v in region[:2])
    right, lower = (round(v * scale_a) for v in region[2:])
    small_a = whole_a[upper:lower, left:right]
    if min(small_a.shape) < 32:
        return None
    corner = np.array([left, upper], float)
    kept = _features(small_a, FEATURES)
    a, b = _matches(kept, _features(small_b, FEATURES_NEW), RATIO)
    plane = _plane(a, b, LEAST_ROUGH)
    if plane is None:
        return None
    for within in GUIDED_PX:
        if _agreeing(plane, a, b).sum() >= PLENTY:
            break
        # Seen as in the reference, far more of it can be matched; and what was no panel at all
        # does not become one.
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        flat = cv2.warpPerspective(small_b, plane, small_a.shape[::-1], flags=flags)
        a, b = _matches(kept, _features(flat, FEATURES), RATIO_NEAR, within)
        b = _through(plane, b) if len(b) else b
        plane = _plane(a, b, LEAST_ROUGH)
        if plane is None:
            return None
    found = _bent(plane, a, b)
    if found is None:
        return None
    bend, middle, span, near = found
    # Back to the pixels of the full pictures.
    up = np.diag([1 / scale_b, 1 / scale_b, 1.0])
    down = np.array([[scale_a, 0, -left], [0, scale_a, -upper], [0, 0, 1.0]])
    return Registration(
        up @ plane @ down,
        bend / scale_b,
        (middle + corner) / scale_a,
        span / scale_a,
        (a[near] + corner) / scale_a,
    )


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
    even = cv2.createCLAHE(2.0, (8, 8)).apply(picture)
    finder = cv2.SIFT_create(most, contrastThreshold=0.02)  # type: ignore[attr-defined]
    points, what = finder.detectAndCompute(even, None)
    return np.array([p.pt for p in points], float).reshape(-1, 2), what


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


def _plane(a: Floats, b: Floats, least: int) -> Floats | None:
    """The plane on which at least so many of the matches lie, if a camera can see one so."""
    import cv2

    if len(a) < least:
        return None
    plane, _ = cv2.findHomography(a, b, cv2.USAC_MAGSAC, NEAR_PX, maxIters=4000, confidence=0.999)
    if plane is None or not _is_view(plane, a):
        return None
    plane = np.asarray(plane, float)
    return plane if _agreeing(plane, a, b).sum() >= least else None


def _agreeing(plane: Floats, a: Floats, b: Floats) -> NDArray[Any]:
    return np.asarray(np.hypot(*(b - _through(plane, a)).T) < NEAR_PX)


def _is_view(plane: Any, a: Floats) -> bool:
    """Whether a camera can see it so: not mirrored, not folded, not out of all proportion."""
    low, high = a.min(axis=0), a.max(axis=0)
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    depth = np.column_stack([corners, np.ones(4)]) @ np.asarray(plane)[2]
    if depth.min() <= 0.05 * depth.max():
        return False
    seen = _through(np.asarray(plane), corners)
    edges = np.roll(seen, -1, axis=0) - seen
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    if turns.min() <= 0:
        return False
    area = float(np.prod(high - low))
    return bool(0.04 < 0.5 * turns.sum() / 2 / max(area, 1.0) < 25)


def _bent(plane: Floats, a: Floats, b: Floats) -> tuple[Floats, Floats, float, NDArray[Any]] | None:
    """The remainder, the middle and span it is told in, and the matches that agree."""
    off = b - _through(plane, a)
    near = np.hypot(*off.T) < NEAR_PX
    if near.sum() < LEAST_MATCHES:
        return None
    middle = a[near].mean(axis=0)
    span = float(np.abs(a[near] - middle).max()) or 1.0
    terms = _terms((a - middle) / span)
    bend = np.zeros((6, 2))
    wide = np.hypot(*off.T) < BENT_PX
    hold = np.diag([1.0, 1, 1, 3, 3, 3])  # few matches bend nothing
    for limit in (BENT_PX, 6.0, 3.0, 2.5):
        wide = (np.hypot(*(off - terms @ bend).T) < limit) & (np.hypot(*off.T) < 3 * BENT_PX)
        if wide.sum() < LEAST_MATCHES:
            return None
        bend = np.linalg.solve(terms[wide].T @ terms[wide] + hold, terms[wide].T @ off[wide])
    return bend, middle, span, wide
