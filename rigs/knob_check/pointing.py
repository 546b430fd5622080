"""Where the pointer of a cap points on one photo, for a panel that is documented first: what stands
out along one way from the middle, and not along the others. Pure.
"""

from __future__ import annotations

import numpy as np

from rigs.knob_check.layers import Layers
from rigs.knob_check.marking import (
    ANGLES,
    FAR,
    HALF,
    MOST_MARK,
    NEAR,
    OF_MARK,
    PIXELS,
    beside_usual,
    on_rings,
)
from rigs.knob_check.proposing import propose_circle
from rigs.knob_check.reading import Cap, colours_of
from rigs.knob_check.registration import Floats

WIDE = 2  # steps of an angle to either side that are still the same way
INSIDE = 0.84  # radii: farther out lies what shines at the edge of a cap
LEAST = 0.3  # of what a mark from the middle to the edge would be
MOST_OTHER, MOST_BEHIND = 0.6, 0.12  # of it: another way, and the one opposite
LEAST_TONE, TIMES = 0.1, 6.0  # a logarithm by which it stands out, and times what is usual
APART = 25.0  # degrees: another way


def circle_and_pointer(data: bytes, x: float, y: float) -> tuple[Cap | None, float | None]:
    """The circle over the cap at a pin, as of `proposing.propose_circle`, and where its pointer
    points. Meant for the process that opens what somebody sent. Raises as that does."""
    cap = propose_circle(data, x, y)
    return cap, None if cap is None else pointing(data, cap)


def pointing(data: bytes, cap: Cap) -> float | None:
    """Degrees clockwise from straight up on the picture, −180 to 180; None where no one way stands
    out. Raises rigs.knob_check.reading.UnreadablePicture."""
    colours = colours_of(data)
    height, width = colours.shape[:2]
    centre = np.array([cap.x * width, cap.y * height])
    patch = Layers(colours).patch(centre, np.eye(2) * cap.radius * width, PIXELS, HALF)
    rings = on_rings(patch)
    radii = np.linspace(NEAR, FAR, len(rings))
    on = (radii < INSIDE) & (radii > (cap.inner + 0.06 if cap.inner else 0.0))
    beside = beside_usual(rings[on], np.ones(rings[on].shape, bool))
    # Light on dark, or dark on light: whichever stands out more.
    sign = max((1.0, -1.0), key=lambda sign: float(np.percentile(sign * beside, 99.0)))
    best = _ways(np.asarray(sign * beside, np.float64))
    most = int(best.argmax())
    steps = np.abs((np.arange(ANGLES) - most + ANGLES // 2) % ANGLES - ANGLES // 2)
    other = float(best[steps > APART * ANGLES / 360].max())
    # An arrow has a tail, and a bar across a cap two ends.
    behind = float(best[steps > (180.0 - APART) * ANGLES / 360].max())
    if best[most] < LEAST or other > MOST_OTHER * best[most] or behind > MOST_BEHIND * best[most]:
        return None
    near = np.arange(most - 3 * WIDE, most + 3 * WIDE + 1)
    weight = np.maximum(best[near % ANGLES] - 0.5 * best[most], 0.0)
    turn = float((near * weight).sum() / weight.sum()) * 360 / ANGLES
    return (turn + 180.0) % 360.0 - 180.0


def _ways(beside: Floats) -> Floats:
    """How much of each way from the middle is mark, 0 to 1."""
    outstanding = float(np.percentile(beside, 99.0))
    usual = float(np.median(np.abs(beside)))
    if (
        outstanding < max(LEAST_TONE, TIMES * usual)
        or float((beside > OF_MARK * outstanding).mean()) > MOST_MARK
    ):
        return np.zeros(ANGLES)
    mark = np.clip(beside / outstanding, 0.0, 1.0) * (beside > OF_MARK * outstanding)
    wide = sum(np.roll(mark, step, axis=1) for step in range(-WIDE, WIDE + 1))
    return np.asarray(np.asarray(wide).mean(axis=0) / (2 * WIDE + 1))
