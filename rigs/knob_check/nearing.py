"""A registration made exact: small pieces of the panel, such as letters and ticks, are sought about
where each should be, at the full size of both photos, and the plane, the lens and the remainder are
fitted anew to where they are. Pure.

Features are found to a pixel of a small picture, which is several of the full one, and few lie at
the ends of a panel: caps there were looked for up to a fifth of their radius beside their place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.registration import (
    LOOKS,
    Floats,
    Lens,
    Registration,
    aligned,
    terms_of,
    through,
)

PIECES, APART = 220, 10  # how many at most, and pixels between their middles at least
HALF = 10  # pixels from the middle of a piece to its edge
SEARCHES = ((9, 4), (24, 9, 4))  # pixels beside where it should be, one look after the other
ALIKE, AHEAD = 0.6, 0.02  # of a piece and its best place, and by how much more than elsewhere
LEAST, SHARE = 16, 0.12  # pieces that have to agree, and of those that are sought
OFF_CAP = 1.15  # radii about a cap that belong to it
LIMITS = (4.0, 2.0, 1.2)  # pixels within which pieces agree, one fit after the other
WIDE = 12  # pixels: what is sought in more may be farther off at first
STEPS = 6
HELD = (1.0, 1.0, 1.0, 3.0, 3.0, 3.0)  # few pieces bend nothing


def lie(
    reference: NDArray[np.uint8],
    photo: NDArray[np.uint8],
    region: tuple[float, ...],
    spots: Sequence[tuple[float, float, float]],
) -> Registration | None:
    """How the photo lies on the reference, both grey. `region` as of `registration.aligned`; what
    is at `spots` (x, y, radius), such as caps, stands off the panel. None where the photo does not
    show the same panel."""
    for look in LOOKS:
        found = aligned(reference, photo, region, look)
        exact = None if found is None else nearer(reference, photo, found, spots)
        if exact is not None:
            return exact
    return None


def nearer(
    reference: NDArray[np.uint8],
    photo: NDArray[np.uint8],
    registration: Registration,
    spots: Sequence[tuple[float, float, float]],
) -> Registration | None:
    """The same made exact; None where too few pieces of the panel are there: what had features
    alike was another panel."""
    import cv2

    first, second = (cv2.GaussianBlur(each, (0, 0), 1.0) for each in (reference, photo))
    places = _pieces(first, registration, spots)
    least = max(LEAST, SHARE * len(places))
    for searches in SEARCHES:
        now: Registration | None = registration
        for search in searches:
            if now is not None:
                now = _fitted(now, *_found(first, second, now, places, search), search, least)
        if now is not None:
            return now
    return None


def _pieces(
    picture: NDArray[np.uint8],
    registration: Registration,
    spots: Sequence[tuple[float, float, float]],
) -> Floats:
    """Corners of what is printed near to places that are known to match, off the caps."""
    import cv2

    mask = np.zeros(picture.shape, np.uint8)
    reach = round(0.06 * max(picture.shape))
    for x, y in registration.places:
        cv2.circle(mask, (round(x), round(y)), reach, 255, -1)
    for x, y, radius in spots:
        cv2.circle(mask, (round(x), round(y)), round(2.2 * radius), 255, -1)
    for x, y, radius in spots:
        cv2.circle(mask, (round(x), round(y)), round(OFF_CAP * radius), 0, -1)
    corners = cv2.goodFeaturesToTrack(picture, PIECES, 0.01, APART, mask=mask, blockSize=7)
    return np.empty((0, 2)) if corners is None else corners[:, 0].astype(float)


def _found(
    first: Any, second: Any, registration: Registration, places: Floats, search: int
) -> tuple[Floats, Floats]:
    """Pieces and where they are in the photo, both (n, 2)."""
    import cv2

    kept, seen = list[Floats](), list[Floats]()
    wide = HALF + search
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    for (x, y), middle in zip(places, registration.to_photo(places), strict=True):
        slope = registration.slope(x, y, HALF)
        size = math.sqrt(abs(float(np.linalg.det(slope))))
        if not 0.1 < size < 10:
            continue
        # A pixel of a piece is one of the photo, laid as the reference lies.
        axes = slope / size
        own = _cut(first, np.array([x, y]), np.eye(2) / size, HALF, flags)
        around = _cut(second, middle, axes, wide, flags)
        alike = cv2.matchTemplate(around, own, cv2.TM_CCOEFF_NORMED)
        _, most, _, (column, row) = cv2.minMaxLoc(alike)
        if most < ALIKE or not (0 < column < 2 * search and 0 < row < 2 * search):
            continue
        beside = alike.copy()
        beside[max(0, row - 3) : row + 4, max(0, column - 3) : column + 4] = -1
        if most - float(beside.max()) < AHEAD:
            continue
        right = column - search + _vertex(alike[row, column - 1 : column + 2])
        down = row - search + _vertex(alike[row - 1 : row + 2, column])
        kept.append(np.array([x, y]))
        seen.append(middle + axes @ [right, down])
    return np.array(kept).reshape(-1, 2), np.array(seen).reshape(-1, 2)


def _cut(picture: Any, centre: Floats, step: Floats, half: int, flags: int) -> Any:
    import cv2

    warp = np.column_stack([step, centre - step @ [half, half]])
    side = 2 * half + 1
    return cv2.warpAffine(picture, warp, (side, side), flags=flags, borderMode=cv2.BORDER_REPLICATE)


def _vertex(values: Any) -> float:
    a, b, c = (float(v) for v in values)
    bow = a - 2 * b + c
    return 0.5 * (a - c) / bow if bow < -1e-9 else 0.0


def _fitted(
    registration: Registration, a: Floats, b: Floats, search: float, least: float
) -> Registration | None:
    """Its plane, lens and remainder fitted to pieces at `a` that are seen at `b`; None where fewer
    than `least` agree."""
    middle, span = registration.middle, registration.span
    terms = terms_of((a - middle) / span)
    fitted = registration
    # Without the remainder, which then holds only what a plane and a lens cannot.
    for limit in (search, search / 3, *LIMITS) if search > WIDE else LIMITS:
        near = np.hypot(*(b - fitted.to_photo(a)).T) < limit
        if near.sum() < least:
            return None
        plane, lens = _posed(fitted.plane, fitted.lens, a[near], b[near], max(1.0, limit / 4))
        off = b[near] - lens.bent(through(plane, a[near]))
        part = terms[near]
        bend = np.linalg.solve(part.T @ part + np.diag(HELD), part.T @ off)
        fitted = replace(fitted, plane=plane, lens=lens, bend=bend)
    near = np.hypot(*(b - fitted.to_photo(a)).T) < LIMITS[-1]
    return replace(fitted, places=a[near]) if near.sum() >= least else None


def _posed(plane: Floats, lens: Lens, a: Floats, b: Floats, far: float) -> tuple[Floats, Lens]:
    """The plane and the lens that put `a` nearest to `b`, from those that are near (Gauss and
    Newton); what is `far` pixels off counts half."""
    to_one = _to_one(a)
    inside = plane @ np.linalg.inv(to_one)
    at = np.column_stack([a, np.ones(len(a))]) @ to_one.T
    scale = np.diag([1 / lens.corner, 1 / lens.corner, 1.0])

    def seen(values: Floats) -> Floats:
        own = np.append(values[:8], 1.0).reshape(3, 3)
        way = at @ (np.linalg.inv(scale) @ own).T
        flat = way[:, :2] / way[:, 2:]
        return replace(lens, bend=float(values[8])).bent(flat)

    own = scale @ inside
    values = np.append((own / own[2, 2]).reshape(-1)[:8], lens.bend)
    held = np.zeros(9)
    held[8] = (1.5 / 0.05) ** 2  # of the lens: a pixel and a half for each twentieth
    for _ in range(STEPS):
        base = seen(values)
        off = (b - base).reshape(-1)
        weight = 1 / (1 + (off / far) ** 2)
        moves = np.column_stack(
            [(seen(values + step) - base).reshape(-1) / 1e-4 for step in 1e-4 * np.eye(9)]
        )
        power = moves.T @ (moves * weight[:, None]) + np.diag(held) + 1e-9 * np.eye(9)
        slack = moves.T @ (off * weight)
        slack[8] -= held[8] * (values[8] - lens.bend)
        values = values + np.linalg.solve(power, slack)
    own = np.append(values[:8], 1.0).reshape(3, 3)
    fitted = np.linalg.inv(scale) @ own @ to_one
    return fitted, replace(lens, bend=float(np.clip(values[8], -0.12, 0.12)))


def _to_one(a: Floats) -> Floats:
    """From pixels to about −1 to 1."""
    low, high = a.min(axis=0), a.max(axis=0)
    middle, half = (low + high) / 2, float((high - low).max()) / 2
    return np.array([[1 / half, 0, -middle[0] / half], [0, 1 / half, -middle[1] / half], [0, 0, 1]])
