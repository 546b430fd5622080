"""A circle proposed over the cap near a pin: where an edge runs round about one middle. Pure.

The picture is laid out in angles and radii about a middle. Over an edge that is a circle about it
the step between dark and light comes at one radius at nearly every angle, as a Hough transform
counts edges that point to a middle. Ticks and letters are steps at few angles.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.reading import Cap, grey_of

Picture = NDArray[np.float32]

EDGE = 1000  # pixels of the longer edge of the picture that is looked at
SMALLEST, LARGEST = 0.01, 0.12  # radii, in longer edges
ANGLES, FINE = 48, 1.04  # directions, and from one radius to the next
OFF = 0.45  # radii that a pin may lie beside the middle
STEP = 0.35  # of a natural logarithm: a step that counts in full
SAME_SIGN = 0.4  # how much it counts that the step is one of the same sign all around
LEAST = 0.5  # of a circle must be an edge
OUTER = 0.8  # a larger circle that is so nearly as sure is the cap; what lies in it is on the cap


class _Circle(NamedTuple):
    """In pixels; `sure` is how much of it is an edge, 0 to 1."""

    x: float
    y: float
    radius: float
    sure: float


def propose_circle(data: bytes, x: float, y: float) -> Cap | None:
    """The circle over the cap at the pin (x, y), in fractions like those of `Cap`; None where no
    edge runs round. Meant for the process that opens what somebody sent.

    Raises rigs.knob_check.reading.UnreadablePicture.
    """
    import cv2

    cv2.setNumThreads(1)
    grey = grey_of(data)
    scale = min(1.0, EDGE / max(grey.shape))
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    even = cv2.GaussianBlur(small.astype(np.float32), (0, 0), 0.8)
    height, width = small.shape
    found = _best(np.asarray(cv2.log(even + np.float32(12.0))), x * width, y * height)
    if found is None:
        return None
    return Cap(found.x / width, found.y / height, found.radius / width)


def _best(level: Picture, x: float, y: float) -> _Circle | None:
    longest = max(level.shape)
    radius, found = max(4.0, SMALLEST * longest), list[_Circle]()
    while radius < LARGEST * longest:
        # One octave of radii at a time: a larger circle allows larger steps of its middle.
        steps = np.arange(-OFF, OFF + 0.01, 0.15) * radius * 1.4
        found += [_about(level, x + dx, y + dy, radius) for dx in steps for dy in steps]
        radius *= 2
    most = max(each.sure for each in found)
    if most < LEAST:
        return None
    best = max((c for c in found if c.sure >= OUTER * most), key=lambda c: c.radius * c.sure)
    for part in (0.07, 0.03):
        steps = np.array([-1, 0, 1]) * part * best.radius
        near = [
            _about(level, best.x + dx, best.y + dy, best.radius, 1) for dx in steps for dy in steps
        ]
        best = max(near, key=lambda c: c.sure)
    return best


def _about(level: Picture, x: float, y: float, radius: float, steps: int = 0) -> _Circle:
    """The surest circle about (x, y): of an octave of radii from `radius`, or so many steps to
    either side of it."""
    import cv2

    count = 18
    radii = radius * FINE ** (np.arange(-steps, steps + 1) if steps else np.arange(count))
    angles = np.radians(np.arange(0, 360, 360 / ANGLES))
    across, down = np.sin(angles)[None, :], -np.cos(angles)[None, :]

    def ring(size: float) -> Any:
        far = (radii * size)[:, None]
        at = ((x + far * across).astype(np.float32), (y + far * down).astype(np.float32))
        return cv2.remap(level, *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)

    step = np.clip((ring(1.08) - ring(0.92)) / STEP, -1, 1)
    sure = SAME_SIGN * np.abs(step.mean(axis=1)) + (1 - SAME_SIGN) * np.abs(step).mean(axis=1)
    best = int(sure.argmax())
    return _Circle(x, y, float(radii[best]), float(sure[best]))
