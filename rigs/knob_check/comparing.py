"""A cap of the reference, turned by every angle and laid on every place of the photo. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.layers import Picture

COARSE, FINE = 9, 22  # pixels of a radius
REACH = 1.22  # radii compared: the cap, its outline and a little of the panel


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
def grid_of(pixels: int, step_deg: float, reach: float = REACH) -> _Grid:
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


def is_free(grid: _Grid, inner: float, under: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which places a smaller cap on this one leaves free."""
    return is_beside(np.stack([grid.x, grid.y], axis=-1) / grid.pixels, inner, under)


def is_beside(
    at: NDArray[np.float64], inner: float, under: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether places (…, 2) in radii lie beside a smaller cap on this one, which is shifted from it
    by `under` at its top and by less below."""
    if not inner:
        return np.ones(at.shape[:-1], bool)
    part = np.clip(at @ under / max(float(under @ under), 1e-9), 0, 1)
    off = at - part[..., None] * under
    return np.asarray(np.hypot(off[..., 0], off[..., 1]) > inner + 0.04)


def weights_of(grid: _Grid, inner: float, under: NDArray[np.float64]) -> NDArray[np.float32]:
    outside = np.clip((REACH - grid.rho) / (REACH - 1.0), 0, 1) * 0.8
    weight = np.where(grid.rho <= 1.0, 1.0, outside)
    return np.asarray(np.where(is_free(grid, inner, under), weight, 0.0), np.float32)


def levelled(patch: Picture, pixels: int) -> Picture:
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


def templates_of(
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


def unlike_at(templates: _Templates, patch: Picture, grid: _Grid, reach: int) -> Picture:
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
