"""A turn that was found roughly, made exact: place, size and turn follow the slopes of the picture
(Lucas and Kanade, 1981, from memory), while light may add what changes slowly over a cap, and the
place stays near to where all caps of the panel would have it. Pure.
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
FACE = 0.82  # and of a cap that is whole
STEPS, FEWER = 6, 3  # and where it is nearly right
MOST = (1.5, 0.12, 0.04)  # pixels, radians and size of one step
DAMPED = 0.004
RINGS = 7  # of what another cap leaves free
SLOPE = 3  # of the ways in which light may add: even, right and down
MOST_ALONE = 6.0  # pixels of a patch
SLOPED, LEAST_GAIN = 1.0, 0.1  # pixels; of the contrast of the reference
SIZED = 0.05  # of a radius that a cap may be larger or smaller, about
ALONE = 40.0  # pixels of a patch that are worth one: what differs there differs at its neighbours
SMOOTHED = (0.0, 1.2, 2.4)  # pixels: noise goes sooner than a mark does


@dataclass(frozen=True)
class Fit:
    """`turn` in degrees clockwise; `centre` in pixels of the photo; `alike`: how much of what light
    does not explain the reference explains, −1 to 1, by how much both are smoothed; `shown`: how
    much of what is on the cap of the reference is in sight on both, 0 to 1; `spread`: by how many
    degrees another turn with another place would do about as well. `alone`: the centre that the
    slopes alone speak for, (2,), and `known` how much they tell of it, (2, 2), a pixel squared."""

    turn: float
    centre: NDArray[np.float64]
    alike: NDArray[np.float64]
    shown: float
    spread: float
    alone: NDArray[np.float64]
    known: NDArray[np.float64]


@dataclass(frozen=True)
class _Places:
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    inside: NDArray[np.bool_]  # of a square patch
    light: NDArray[np.float64]  # (places, 13): what light may add


@lru_cache(maxsize=8)
def _places(pixels: int, half: int) -> _Places:
    """Those within REACH of the middle of a square patch, `pixels` a radius and `half` to an
    edge."""
    y, x = np.mgrid[-half : half + 1, -half : half + 1].astype(float)
    inside = np.hypot(x, y) < REACH * pixels
    x, y = x[inside], y[inside]
    u, v = x / pixels, y / pixels
    # Even light, a slope, and the double fan that turned metal throws, which is as strong near the
    # middle; on the rim by themselves.
    over = np.column_stack([np.ones_like(u), u, v, u * u - v * v, u * v])
    far = np.maximum(u * u + v * v, 0.01)
    rim = np.clip((np.sqrt(far) - 0.78) / 0.06, 0, 1)[:, None]
    light = np.column_stack([over, far, over * rim, over[:, 3:] / far[:, None]])
    return _Places(x, y, inside, light)


def _rings(at: _Places, inner: float) -> NDArray[np.float64]:
    """Of each place how much it lies on each of some circles about the middle, (places, RINGS)."""
    far = np.hypot(at.x, at.y) / PIXELS
    step = (REACH - inner) / RINGS
    middles = inner + step * np.arange(1, RINGS + 1)
    return np.clip(1 - np.abs(far[:, None] - middles) / step, 0, 1)


def unlit(patch: Picture, pixels: int) -> Picture:
    """A patch, `pixels` a radius, less what light may have added to the cap in its middle."""
    at = _places(pixels, patch.shape[0] // 2)
    raw = patch[at.inside].astype(float)
    out = patch.copy()
    rest = _less_light(raw, at.light, np.ones(len(raw), bool))
    # What is around gets no step where the cap ends.
    out -= np.float32(np.median(raw - rest))
    out[at.inside] = rest
    return out


def _less_light(
    raw: NDArray[np.float64], light: NDArray[np.float64], on: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """A mark is no light: what stands out counts less."""
    weight, rest = on.astype(float), raw
    for _ in range(3):
        base = light * weight[:, None]
        power = base.T @ light + 1e-6 * np.eye(base.shape[1])
        rest = raw - light @ np.linalg.solve(power, base.T @ raw)
        spread = float(np.median(np.abs(rest[on]))) if on.any() else 1.0
        weight = on / (1 + (rest / max(3 * spread, 1e-6)) ** 2)
    return rest


def _turning(turn: float) -> NDArray[np.float64]:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return np.array([[c, -s], [s, c]])


@dataclass(frozen=True)
class Expected:
    """Where all caps of a panel would have this one, in pixels of the photo, and by how many radii
    that may be off; and from where on a place of the photo is burnt out."""

    centre: NDArray[np.float64]
    within: float
    burnt: float


@dataclass(frozen=True)
class Template:
    """The cap of the reference, without what light may have added to it: `own`, 2·PIXELS + 1
    square, and `mine`, at each place; `moves`: how it changes when it goes right, down, turns
    (radians) and grows, (places, 4); `on`: which places are of it; `smooth`, (places, SMOOTHED);
    `light`: what light may add to it, (places, ways)."""

    mine: NDArray[np.float64]
    moves: NDArray[np.float64]
    on: NDArray[np.bool_]
    smooth: NDArray[np.float64]
    inner: float
    light: NDArray[np.float64]

    @classmethod
    def of(cls, own: Picture, cap: NDArray[np.bool_], inner: float) -> Template:
        """`own`: 2·PIXELS + 1 square, of which `cap` is of the cap; `inner` as of `Circle`."""
        at = _places(PIXELS, PIXELS)
        # On a narrow top, what light may add all over a round cap could be a mark as well.
        light = at.light if cap.all() else at.light[:, :SLOPE]
        if inner:
            # What is alike all around, edges and walls, says nothing of a turn.
            light = np.column_stack([light, _rings(at, inner)])
        # A chamfer shines where light comes from, not where it has turned to.
        on = cap[at.inside] & (np.hypot(at.x, at.y) < (REACH if inner else FACE) * PIXELS)
        mine, moves = _unlit(own, at, light, on)
        return cls(mine, moves, on, _smoothed(own)[at.inside], inner, light)


def refined(
    template: Template,
    look: Callable[[Any, Any], Picture],
    start: tuple[NDArray[np.float64], NDArray[np.float64], float],
    free: Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.bool_]],
    expected: Expected,
    steps: int = STEPS,
) -> Fit:
    """`look(centre, slope)`: the cap on the photo, 2·PIXELS + 1 square; `start`: centre, slope
    (pixels a radius, 2 × 2) and turn; `free`: which places, (n, 2) in radii on the reference and as
    turned, no other cap covers."""
    at = _places(PIXELS, PIXELS)
    centre, slope, turn = start
    places = np.column_stack([at.x, at.y]) / PIXELS
    size, spread = 1.0, 180.0
    for step in range(steps + 1):
        ahead = slope @ _turning(turn) * size
        patch = look(centre, ahead)
        seen_at = (
            free(places, places @ _turning(turn).T) & ~_burnt(patch, expected.burnt)[at.inside]
        )
        weight = np.where(template.on & seen_at, 1.0, 0.0)
        seen = patch[at.inside] * weight
        known = np.column_stack([template.mine, template.light]) * weight[:, None]
        gain, left = _explained_by(known, seen)
        # A wrong turn must not make it turn round.
        moves = template.moves * (max(gain, LEAST_GAIN) * weight[:, None])
        terms = np.column_stack([moves, -known])
        power = terms.T @ terms
        scale = power.diagonal()[:4].copy()
        power[range(len(power)), range(len(power))] += 1e-6
        # What would be left if nothing held it: what holds it must not pass for noise.
        pull = terms.T @ left
        rest = max(float(left @ left - pull @ np.linalg.solve(power, pull)), 1e-9)
        noise = ALONE * rest / max(weight.sum(), 1.0)
        off = np.linalg.solve(ahead, centre - expected.centre) * PIXELS
        held = noise / (expected.within * PIXELS) ** 2
        power[range(2), range(2)] += held
        power[3, 3] += noise / (SIZED * PIXELS) ** 2
        if step == steps:
            spread = math.degrees(math.sqrt(noise * float(np.linalg.inv(power)[2, 2])))
            power[range(2), range(2)] -= held
            alone, known = _by_itself(power / noise, pull / noise)
            back = np.linalg.inv(ahead / PIXELS)
            alone, known = centre - ahead @ alone / PIXELS, back.T @ known @ back
            break
        slack = -pull
        slack[:2] -= held * off
        power[range(4), range(4)] += DAMPED * scale
        move = np.linalg.solve(power, slack)[:4]
        shift = np.clip(move[:2], -MOST[0], MOST[0])
        centre = centre + ahead @ shift / PIXELS
        turn += math.degrees(float(np.clip(move[2], -MOST[1], MOST[1])))
        size *= 1 + float(np.clip(move[3], -MOST[2], MOST[2]))
        size = min(1.12, max(0.88, size))
    alike = _explained(template.smooth, _smoothed(patch)[at.inside], template.light, weight)
    shown = _shown(template, places, weight)
    return Fit((turn + 180.0) % 360.0 - 180.0, centre, alike, shown, spread, alone, known)


def _by_itself(power: Any, pull: Any) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """By how many pixels of a patch a cap is beside the place that its slopes alone speak for,
    whatever its turn, size and light are, at most MOST_ALONE; and how much they tell of it."""
    across = np.linalg.solve(power[2:, 2:], np.column_stack([power[2:, :2], pull[2:]]))
    known = power[:2, :2] - power[:2, 2:] @ across[:, :2]
    left = pull[:2] - power[:2, 2:] @ across[:, 2]
    values, ways = np.linalg.eigh((known + known.T) / 2)
    values = np.maximum(values, 1e-9)
    far = np.clip((ways.T @ left) / values, -MOST_ALONE, MOST_ALONE)
    return ways @ far, np.asarray((ways * values) @ ways.T)


def _burnt(patch: Picture, burnt: float) -> NDArray[np.bool_]:
    """Where light has eaten what was there: wider than a white mark is."""
    import cv2

    bright = (patch > burnt).astype(np.uint8)
    if not bright.any():
        return np.zeros(patch.shape, bool)
    wide = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (PIXELS // 3, PIXELS // 3))
    return np.asarray(cv2.morphologyEx(bright, cv2.MORPH_OPEN, wide) > 0)


def _unlit(
    own: Picture, at: _Places, light: NDArray[np.float64], on: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The cap without what light may have added to it, at each place; and how it changes when it
    goes right, down, turns (radians) and grows, (places, 4). Of the reference, which has less
    noise than the photo: noise would pass for something that tells places apart."""
    import cv2

    rest = _less_light(own[at.inside].astype(float), light, on)
    clear = np.zeros(own.shape, np.float32)
    clear[at.inside] = rest
    down, right = np.gradient(cv2.GaussianBlur(clear, (0, 0), SLOPED).astype(float))
    gx, gy = right[at.inside], down[at.inside]
    return rest, np.column_stack([gx, gy, at.x * gy - at.y * gx, at.x * gx + at.y * gy])


def _explained_by(known: Any, seen: Any) -> tuple[float, NDArray[np.float64]]:
    """How strongly the reference, the first of `known`, shows; and what is left unexplained."""
    power = known.T @ known
    power[range(len(power)), range(len(power))] += 1e-6
    share = np.linalg.solve(power, known.T @ seen)
    return float(share[0]), seen - known @ share


def _smoothed(patch: Picture) -> NDArray[np.float64]:
    """The patch by each of SMOOTHED, as a last axis."""
    import cv2

    return np.stack(
        [cv2.GaussianBlur(patch, (0, 0), by) if by else patch for by in SMOOTHED], axis=-1
    ).astype(float)


def _shown(template: Template, places: Any, weight: Any) -> float:
    """How much of what stands out on a cap, beside what may be covered, `weight` leaves."""
    on = template.on & (np.hypot(places[:, 0], places[:, 1]) > template.inner)
    usual = float(template.mine[on].mean()) if on.any() else 0.0
    power = np.where(on, (template.mine - usual) ** 2, 0.0)
    return float((power * weight).sum() / max(float(power.sum()), 1e-9))


def _explained(mine: Any, seen: Any, light: Any, weight: Any) -> NDArray[np.float64]:
    """The correlation of two, without what light explains of either; of each of SMOOTHED."""
    base = light * weight[:, None]
    both = np.hstack([mine, seen]) * weight[:, None]
    power = base.T @ base + 1e-6 * np.eye(base.shape[1])
    both = both - base @ np.linalg.solve(power, base.T @ both)
    a, b = both[:, : mine.shape[1]], both[:, mine.shape[1] :]
    length = np.sqrt((a * a).sum(axis=0) * (b * b).sum(axis=0))
    return np.asarray((a * b).sum(axis=0) / np.maximum(length, 1e-9))
