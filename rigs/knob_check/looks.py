"""What the reference tells of a cap by itself: its make, its shape and its mark. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.comparing import FINE, grid_of, levelled
from rigs.knob_check.found import Circle
from rigs.knob_check.layers import Layers, Picture

SHARP = 36
ANGLES = 180
LEAST_TONE = 0.25  # of a natural logarithm, between a cap and its panel
ROUND = (0.15, 0.85)  # of what lies in its circle, what a cap that is not round fills
AROUND = 2  # radii about a cap that tell how bright its panel is there
SAME_TONE, DOT = 0.8, 0.12  # of caps of one make; of `length_of`
OF_MARK, LEAST_MARK = 0.7, 0.6  # of what differs most from its body; and a logarithm of that
NARROW = 0.25  # radii: a mark on such a cap is narrower
WALL = 1.25  # of what the height says is taken for wall: the height is told too low sooner


class _Look(NamedTuple):
    """What tells makes of caps of one size apart: the tone (a logarithm) beside that of the panel
    around it, whether it fills its circle, and whether its mark is a dot."""

    tone: float
    is_round: bool
    has_dot: bool


def look_of(reference: Layers, circle: Circle) -> _Look:
    grid = grid_of(FINE, 3.0, 0.9)
    patch = reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, FINE, grid.half)
    on = np.hypot(grid.x, grid.y) / FINE > circle.inner
    tone = float(np.median(patch[grid.y + grid.half, grid.x + grid.half][on]))
    wide = reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, FINE, AROUND * FINE)
    y, x = np.mgrid[-AROUND * FINE : AROUND * FINE + 1, -AROUND * FINE : AROUND * FINE + 1]
    far = np.hypot(x, y) / FINE
    # Light falls off over a panel; shadows lie on one side of a cap.
    tone -= float(np.percentile(wide[(far > 1.15) & (far < AROUND)], 65))
    sharp = levelled(
        reference.patch((circle.x, circle.y), np.eye(2) * circle.radius, SHARP, SHARP), SHARP
    )
    is_round = shape_of(reference, circle, FINE, grid.half, np.zeros(2)) is None
    has_dot = not circle.inner and length_of(sharp, 0.0) < DOT
    return _Look(tone, is_round, has_dot)


def groups_of(circles: Sequence[Circle], looks: Sequence[_Look]) -> list[int]:
    """The group of each: caps of one size and look are of one make, and alike in height. Of those
    that sit on others size alone tells: they are small, and pairs of two makes differ in it."""
    firsts: list[tuple[Circle, _Look]] = []
    out = []
    for circle, look in zip(circles, looks, strict=True):
        for i, (first, its) in enumerate(firsts):
            if (
                abs(first.radius / circle.radius - 1) < 0.12
                and abs(first.inner - circle.inner) < 0.05
                and first.high == circle.high
                and (circle.high or _is_alike(its, look))
            ):
                out.append(i)
                break
        else:
            out.append(len(firsts))
            firsts.append((circle, look))
    return out


def _is_alike(one: _Look, other: _Look) -> bool:
    return abs(one.tone - other.tone) < SAME_TONE and one[1:] == other[1:]


def shape_of(
    reference: Layers, circle: Circle, pixels: int, half: int, leaning: NDArray[np.float64]
) -> NDArray[np.bool_] | None:
    """Which places of a square patch of the reference, `pixels` a radius and `half` to an edge, are
    of the top of a cap that is not round: panel is what is of the panel's colour and reaches in
    from the circle, and wall is seen towards its foot, `leaning` radii back. None where it fills
    its circle, or cannot be told from the panel."""
    import cv2

    colours = reference.coloured((circle.x, circle.y), np.eye(2) * circle.radius, pixels, half)
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    rho = np.hypot(x, y) / pixels
    edge = (rho > 0.9) & (rho < 1.1)
    panel, body = (np.median(colours[of], axis=0) for of in (edge, rho < 0.5))
    apart = float(np.linalg.norm(body - panel))
    if apart < LEAST_TONE:
        return None
    off = np.linalg.norm(colours - panel, axis=2)
    plain = ((off < apart / 2) & (rho < 1.1)).astype(np.uint8)
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
    # A beak is narrower than its wall is seen wide, but its mark is on top.
    beside = np.linalg.norm(colours - body, axis=2)
    most = float(np.percentile(beside[cap], 97))
    return np.asarray(top | (cap & (beside > OF_MARK * most)) if most > LEAST_MARK else top)


def _disc(pixels: int) -> Any:
    import cv2

    return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (pixels, pixels))


def length_of(clear: Picture, inner: float) -> float:
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


def waves_of(patch: Picture, inner: float) -> NDArray[np.complex64]:
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


def sidedness(waves: NDArray[np.complex64]) -> float:
    """How much of the cap tells it from itself after half a turn, 0 to about 0.5.

    Waves of even number around are the same after half a turn: of a slot there is nothing else.
    """
    power = (np.abs(waves) ** 2).sum(axis=0)
    return float(power[1::2].sum() / max(float(power.sum()), 1e-9))


def light_on(grey: Any, centre: Any, slope: Any) -> tuple[float, float]:
    """The share of the cap that is burnt out, and between which grey levels the rest lies."""
    reach = int(np.abs(slope).sum(axis=1).max()) + 1
    x, y = int(centre[0]), int(centre[1])
    part = grey[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1]
    if not part.size:
        return 0.0, 0.0
    low, high = np.percentile(part, [5, 95])
    return float((part >= 250).mean()), float(high - low)
