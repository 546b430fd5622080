"""A second look at a turn, which follows the mark alone: what stands out on the cap of the
reference is sought at every angle of the photo, ring by ring, less what is usual on each ring.

Outline, walls and light count for nothing here, so where it agrees with the first look, which
compares all of a cap, two kinds of error would have to fall together. Pure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.float32]
Free = Callable[[NDArray[np.float64]], NDArray[np.bool_]]

PIXELS, HALF = 26, 28  # of a radius, and to the edge of a patch
NEAR, FAR = 0.26, 0.95  # radii of the rings
RINGS, ANGLES = 24, 240
OF_MARK = 0.5  # of what stands out most
MOST_MARK = 0.3  # of a cap that may be mark: more is dirt, ribs or numbers
HELD_BACK = 1.5  # times what the mark stands out, at most: a gleam
PLACES = ((0.0, 0.0), (0.02, 0.0), (-0.02, 0.0), (0.0, 0.02), (0.0, -0.02))  # radii beside it
LEAST_SEEN = 0.5  # of the mark
APART = 20.0  # degrees: another turn


@dataclass(frozen=True)
class Second:
    """`turn`: degrees clockwise, −180 to 180; `clear`: by which part of the best the next best turn
    is worse, 0 to 1; `stands`: how many times as much as the rest of the cap the mark stands out.
    No mark, and all is 0."""

    turn: float = 0.0
    clear: float = 0.0
    stands: float = 0.0


def second_look(
    own: Picture, look: Callable[[float, float], Picture], free: tuple[Free, Free], burnt: float
) -> Second:
    """`own`: the cap of the reference, a square of 2·HALF + 1; `look(right, down)`: that of the
    photo from so many radii beside where it is; `free`: which places, (…, 2) in radii, no other cap
    covers on the reference and on the photo."""
    at = _rings()[2]
    on = free[0](at)
    mine = beside_usual(on_rings(own), on)
    outstanding = float(np.percentile(np.abs(mine[on]), 99.0)) if on.any() else 0.0
    mark = np.where(on & (np.abs(mine) > OF_MARK * outstanding), mine, 0.0)
    mark /= max(outstanding, 1e-6)
    share = (mark != 0).mean() / max(float(on.mean()), 1e-6)
    if outstanding < 1e-3 or not 0 < share < MOST_MARK:
        return Second()
    mark *= _rings()[3][:, None]
    best = Second()
    on = free[1](at)
    for right, down in PLACES:
        found = _sought(mark, look(right, down), on, burnt)
        if found.stands > best.stands:
            best = found
    return best


def _sought(mark: Picture, patch: Picture, on: NDArray[np.bool_], burnt: float) -> Second:
    rings = on_rings(patch)
    seen = on & (rings < burnt)
    theirs = beside_usual(rings, seen)
    usual = float(np.median(np.abs(theirs[seen]))) if seen.any() else 0.0
    limit = HELD_BACK * float(np.percentile(np.abs(theirs[seen]), 98.0)) if seen.any() else 0.0
    theirs = np.where(seen, np.clip(theirs, -limit, limit), 0.0)
    alike = _correlated(mark, theirs)
    power = _correlated(mark * mark, seen.astype(float))
    whole = float((mark * mark).sum())
    shown = power > LEAST_SEEN * whole
    value = np.where(shown, alike / np.sqrt(np.maximum(power, 0.1 * whole)), 0.0)
    most = int(value.argmax())
    away = np.abs((np.arange(ANGLES) - most + ANGLES // 2) % ANGLES - ANGLES // 2)
    other = float(value[away > APART * ANGLES / 360].max(initial=0.0))
    top = float(value[most])
    if top <= 0:
        return Second()
    before, after = value[most - 1], value[(most + 1) % ANGLES]
    bow = before - 2 * top + after
    turn = (most + (0.5 * (before - after) / bow if bow < 0 else 0.0)) * 360 / ANGLES
    clear = 1.0 - max(other, 0.0) / top
    stands = top / np.sqrt(whole) / max(usual, 1e-6)
    return Second(float((turn + 180) % 360 - 180), float(clear), float(stands))


def _correlated(one: Any, other: Any) -> NDArray[np.float64]:
    """By how many steps clockwise `one` is turned: the sum of its products with `other`."""
    both = np.conj(np.fft.rfft(one, axis=1)) * np.fft.rfft(other, axis=1)
    return np.fft.irfft(both.sum(axis=0), ANGLES)


def beside_usual(rings: Picture, on: NDArray[np.bool_]) -> Picture:
    """Less what is usual on each ring, and less what light from a side or a double fan of metal
    puts there: the first two waves around."""
    out = rings.astype(np.float64)
    few = on.sum(axis=1) < ANGLES / 8
    whole, part = on.all(axis=1), ~on.all(axis=1) & ~few
    out[whole] -= np.median(out[whole], axis=1)[:, None]
    out[part] -= np.nanmedian(np.where(on, out, np.nan)[part], axis=1)[:, None]
    waves, weight = _rings()[4], on.astype(float)
    for _ in range(3):
        # A mark is no light: what stands out counts less.
        base = (waves.T[None] * weight[:, None, :]) @ waves + 1e-3 * np.eye(waves.shape[1])
        share = np.linalg.solve(base, ((weight * out) @ waves)[..., None])
        rest = out - (waves @ share[..., 0].T).T
        spread = float(np.median(np.abs(rest[on]))) if on.any() else 1.0
        weight = on / (1 + (rest / max(2.5 * spread, 1e-6)) ** 2)
    return np.where(on & ~few[:, None], rest, 0.0)


def on_rings(patch: Picture) -> Picture:
    import cv2

    x, y = _rings()[:2]
    return np.asarray(cv2.remap(patch, x, y, cv2.INTER_LINEAR))


@lru_cache(maxsize=1)
def _rings() -> tuple[Picture, Picture, NDArray[np.float64], Picture, NDArray[np.float64]]:
    """Where rings and angles (clockwise from up) lie in a patch; the same in radii, (rings, angles,
    2); the weight of each ring; and the waves around that light makes."""
    radii = np.linspace(NEAR, FAR, RINGS)
    angles = np.arange(ANGLES) * 2 * np.pi / ANGLES
    at = np.stack([radii[:, None] * np.sin(angles), -radii[:, None] * np.cos(angles)], axis=-1)
    x, y = (np.float32(HALF) + PIXELS * at[..., axis].astype(np.float32) for axis in (0, 1))
    waves = np.column_stack(
        [np.ones(ANGLES)] + [f(k * angles) for k in (1, 2) for f in (np.sin, np.cos)]
    )
    return x, y, at, np.sqrt(radii).astype(np.float32), waves
