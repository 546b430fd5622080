"""Two photos of a panel in, the turn of each circled cap out, or why it cannot be told. Pure.

Meant to run in the process for what somebody sent (`core.uploads.apart`): pictures may be broken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.doubt import Reason, reason_for, turn_of
from rigs.knob_check.registration import Floats, Registration, align
from rigs.knob_check.turning import Circle, Found, Layers, turns_of

LARGEST = 40e6  # pixels; what is stored has far fewer
PATCH, PATCH_RADII = 120, 1.5  # pixels of a side, and radii from its middle to its edge
NEAR_RADII = 9.0  # matched places must be so near to a cap


class UnreadablePicture(ValueError):
    """The bytes are no picture that can be read."""


@dataclass(frozen=True)
class Cap:
    """A circle over a cap of the reference: fractions of the picture's width and height, its radius
    a fraction of the width; `inner` as of `Circle`."""

    x: float
    y: float
    radius: float
    inner: float = 0.0


@dataclass(frozen=True)
class Reading:
    """`turn` in degrees clockwise, −180 to 180, or the reason why there is none. The patches are
    the cap in both photos at one size, laid over each other, as JPEG; empty where there is none."""

    turn: float | None
    reason: Reason | None
    before: bytes = b""
    after: bytes = b""
    found: Found | None = None


def read_turns(reference: bytes, photo: bytes, caps: Sequence[Cap]) -> list[Reading]:
    """One reading for each cap. Raises UnreadablePicture."""
    import cv2

    cv2.setNumThreads(1)  # a server has few processors, and others wait for them
    first, second = _grey(reference), _grey(photo)
    height, width = first.shape
    circles = [
        Circle(c.x * width, c.y * height, c.radius * width, c.inner, _is_on_another(c, caps, first))
        for c in caps
    ]
    if not circles:
        return []
    registration = align(first, second, _region(circles))
    if registration is None:
        return [Reading(None, Reason.OTHER_PANEL) for _ in caps]
    before, after = Layers(first), Layers(second)
    seen = [_is_in(registration, circle, second) for circle in circles]
    if sum(reason == Reason.OTHER_PANEL for reason in seen) * 2 > len(seen):
        return [Reading(None, Reason.OTHER_PANEL) for _ in caps]
    near = [circle for circle, reason in zip(circles, seen, strict=True) if reason is None]
    found = iter(turns_of(before, after, registration, near))
    return [
        Reading(None, reason)
        if reason is not None
        else _reading(before, after, registration, circle, next(found))
        for circle, reason in zip(circles, seen, strict=True)
    ]


def _reading(
    before: Layers, after: Layers, registration: Registration, circle: Circle, found: Found
) -> Reading:
    reason = reason_for(found, pair=bool(circle.inner))
    slope = registration.slope(circle.x, circle.y, circle.radius) * circle.radius
    centre = registration.to_photo(np.array([[circle.x, circle.y]]))[0] + slope @ found.shift
    return Reading(
        None if reason else turn_of(found),
        reason,
        _patch(before.grey, np.array([circle.x, circle.y]), np.eye(2) * circle.radius),
        _patch(after.grey, centre, slope),
        found,
    )


def _patch(grey: NDArray[np.uint8], centre: Floats, slope: Floats) -> bytes:
    import cv2

    step = slope * (2 * PATCH_RADII / PATCH)
    warp = np.column_stack([step, centre - step @ [PATCH / 2, PATCH / 2]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    picture = cv2.warpAffine(grey, warp, (PATCH, PATCH), flags=flags)
    return bytes(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 85])[1])


def _grey(data: bytes) -> NDArray[np.uint8]:
    """All colours alike: in red or blue light the usual weights would leave mostly noise."""
    import cv2

    try:
        colour = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    except cv2.error:
        colour = None
    if colour is None or min(colour.shape[:2]) < 64 or colour.shape[0] * colour.shape[1] > LARGEST:
        raise UnreadablePicture("The picture cannot be read.")
    third = np.full((1, 3), 1 / 3, np.float32)
    return np.asarray(cv2.transform(colour, third), np.uint8).reshape(colour.shape[:2])


def _region(circles: Sequence[Circle]) -> tuple[float, float, float, float]:
    """Where the panel is likely to be: about the caps."""
    xs, ys = [c.x for c in circles], [c.y for c in circles]
    room = 0.35 * max(max(xs) - min(xs), max(ys) - min(ys)) + 5 * max(c.radius for c in circles)
    return min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room


def _is_on_another(cap: Cap, caps: Sequence[Cap], picture: NDArray[np.uint8]) -> bool:
    height, width = picture.shape
    return any(
        other is not cap
        and other.inner > 0
        and math.hypot((other.x - cap.x) * width, (other.y - cap.y) * height) < other.radius * width
        for other in caps
    )


def _is_in(registration: Registration, circle: Circle, photo: NDArray[np.uint8]) -> Reason | None:
    at = np.array([circle.x, circle.y])
    far = np.hypot(*(registration.places - at).T).min()
    if far > NEAR_RADII * circle.radius:
        return Reason.OTHER_PANEL
    around = at + circle.radius * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
    height, width = photo.shape
    seen = registration.to_photo(around)
    inside = (seen >= 0).all() and (seen[:, 0] < width).all() and (seen[:, 1] < height).all()
    return None if inside else Reason.OUTSIDE
