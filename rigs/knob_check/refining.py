"""A turn that was found roughly, made exact: place, size and turn follow the slopes of the picture
(Lucas and Kanade, 1981, from memory), while light may add what changes slowly over a cap. Pure.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.float32]

PIXELS = 24  # of a radius
REACH = 0.93  # radii that are compared
STEPS = 6
MOST = (1.5, 0.12, 0.04)  # pixels, radians and size of one step


@dataclass(frozen=True)
class Fit:
    """`turn` in degrees clockwise; `centre` in pixels of the photo; `alike`: how much of what light
    does not explain the reference explains, −1 to 1; `shown`: how much of what is on the cap of the
    reference is in sight on both, 0 to 1."""

    turn: float
    centre: NDArray[np.float64]
    alike: float
    shown: float


@dataclass(frozen=True)
class _Places:
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    inside: NDArray[np.bool_]  # of a square patch
    light: NDArray[np.float64]  # (places, 11): what light may add


@lru_cache(maxsize=1)
def _places() -> _Places:
    y, x = np.mgrid[-PIXELS : PIXELS + 1, -PIXELS : PIXELS + 1].astype(float)
    inside = np.hypot(x, y) < REACH * PIXELS
    x, y = x[inside], y[inside]
    u, v = x / PIXELS, y / PIXELS
    # Even light, a slope, and the double fan that turned metal throws; on the rim by themselves.
    over = np.column_stack([np.ones_like(u), u, v, u * u - v * v, u * v])
    rim = np.clip((np.hypot(u, v) - 0.78) / 0.06, 0, 1)[:, None]
    light = np.column_stack([over, u * u + v * v, over * rim])
    return _Places(x, y, inside, light)


def _turning(turn: float) -> NDArray[np.float64]:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return np.array([[c, -s], [s, c]])


def refined(
    own: Picture,
    look: Callable[[Any, Any], Picture],
    start: tuple[NDArray[np.float64], NDArray[np.float64], float],
    free: Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.bool_]],
    inner: float,
) -> Fit:
    """`own`: the cap of the reference, 2·PIXELS + 1 square; `look(centre, slope)`: the same of the
    photo; `start`: centre, slope (pixels a radius, 2 × 2) and turn; `free`: which places, (n, 2) in
    radii on the reference and as turned, no other cap covers; `inner` as of `Circle`."""
    at = _places()
    centre, slope, turn = start
    mine = own[at.inside].astype(float)
    size = 1.0
    for step in range(STEPS + 1):
        ahead = slope @ _turning(turn) * size
        patch = look(centre, ahead)
        seen = patch[at.inside].astype(float)
        places = np.column_stack([at.x, at.y]) / PIXELS
        weight = np.where(free(places, places @ _turning(turn).T), 1.0, 0.0)
        lit = np.column_stack([mine, at.light])
        if step == STEPS:
            break
        down, right = np.gradient(patch.astype(float))
        gx, gy = right[at.inside], down[at.inside]
        moves = np.column_stack([gx, gy, at.x * gy - at.y * gx, at.x * gx + at.y * gy])
        terms = np.column_stack([moves, -lit]) * weight[:, None]
        power = terms.T @ terms
        scale = power.diagonal()[:4].copy()
        power[range(4), range(4)] += 0.02 * scale + 1e-9
        power[range(4, len(power)), range(4, len(power))] += 1e-6
        move = np.linalg.solve(power, -terms.T @ (seen * weight))[:4]
        shift = np.clip(move[:2], -MOST[0], MOST[0])
        centre = centre + ahead @ shift / PIXELS
        turn += math.degrees(float(np.clip(move[2], -MOST[1], MOST[1])))
        size *= 1 + float(np.clip(move[3], -MOST[2], MOST[2]))
        size = min(1.12, max(0.88, size))
    alike = _explained(mine, seen, at.light, weight)
    shown = _shown(mine, places, inner, weight)
    return Fit((turn + 180.0) % 360.0 - 180.0, centre, alike, shown)


def _shown(mine: Any, places: Any, inner: float, weight: Any) -> float:
    """How much of what stands out on a cap, beside what may be covered, `weight` leaves."""
    on = np.hypot(places[:, 0], places[:, 1]) > inner
    power = np.where(on, (mine - mine[on].mean()) ** 2, 0.0)
    return float((power * weight).sum() / max(float(power.sum()), 1e-9))


def _explained(mine: Any, seen: Any, light: Any, weight: Any) -> float:
    """The correlation of two, without what light explains of either."""
    base = light * weight[:, None]
    hat = np.linalg.solve(base.T @ base + 1e-6 * np.eye(base.shape[1]), base.T)
    a, b = mine * weight, seen * weight
    a, b = a - base @ (hat @ a), b - base @ (hat @ b)
    return float(a @ b / max(math.sqrt(float(a @ a) * float(b @ b)), 1e-9))
