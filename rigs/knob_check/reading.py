"""Two photos of a panel in, the turn of each circled cap out, or why it cannot be told. Pure.

Meant to run in the process for what somebody sent (`core.uploads.apart`): pictures may be broken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import gettext_noop
from rigs.knob_check.doubt import Reason, reason_for
from rigs.knob_check.found import Circle, Found
from rigs.knob_check.layers import Colours, Layers, layers_of, mixed, shares
from rigs.knob_check.nearing import lie
from rigs.knob_check.parallax import rise_of
from rigs.knob_check.registration import Floats, Registration
from rigs.knob_check.sliding import (
    Laid,
    Slot,
    SlotReading,
    Switch,
    SwitchReading,
    slot_reading,
    switch_reading,
)
from rigs.knob_check.turning import turns_of

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


@dataclass(frozen=True)
class Lying:
    """The way from the reference to the photo, and (height, width) of both in pixels."""

    registration: Registration
    first: tuple[int, ...]
    second: tuple[int, ...]


@dataclass(frozen=True)
class PanelReading:
    """One reading for each cap, slot and switch that was asked for, in their order; and how the
    photo lies on the reference, None where that is not known."""

    turns: list[Reading]
    slots: list[SlotReading]
    switches: list[SwitchReading]
    lying: Lying | None = None


def read_turns(reference: bytes, photo: bytes, caps: Sequence[Cap]) -> list[Reading]:
    """One reading for each cap. Raises UnreadablePicture."""
    return read_panel(reference, photo, caps).turns


def read_panel(
    reference: bytes,
    photo: bytes,
    caps: Sequence[Cap] = (),
    slots: Sequence[Slot] = (),
    switches: Sequence[Switch] = (),
) -> PanelReading:
    """What `photo` shows of all that is marked on `reference`, both JPEG.

    Raises UnreadablePicture.
    """
    import cv2

    cv2.setNumThreads(1)  # a server has few processors, and others wait for them
    first, second = grey_of(reference), grey_of(photo)
    height, width = first.shape
    size = np.array([width, height], float)
    circles = [
        Circle(c.x * width, c.y * height, c.radius * width, c.inner, _is_on_another(c, caps, first))
        for c in caps
    ]
    ends = [np.array([[s.x1, s.y1], [s.x2, s.y2]]) * size for s in slots]
    points = [np.array(switch.points) * size for switch in switches]
    spots = [(c.x, c.y, c.radius) for c in circles]
    spots += [(x, y, 0.02 * width) for marks in ends + points for x, y in marks]
    stands = [(c.x, c.y, c.radius) for c in circles]
    registration = lie(first, second, _region(spots), stands) if spots else None
    if registration is None:
        return _another_panel(caps, slots, switches)
    # Opened anew: kept while features were looked for, the colours would take the most memory.
    before, after = layers_of(colours_of(reference), colours_of(photo), registration, spots)
    seen = [_is_in(registration, circle, second) for circle in circles]
    if sum(reason == Reason.OTHER_PANEL for reason in seen) * 2 > len(seen):
        return _another_panel(caps, slots, switches)
    near = [circle for circle, reason in zip(circles, seen, strict=True) if reason is None]
    found = iter(turns_of(before, after, registration, near))
    laid = Laid(before, after, registration, rise_of(registration, first.shape, second.shape))
    return PanelReading(
        [
            Reading(None, reason)
            if reason is not None
            else _reading(before, after, registration, circle, next(found))
            for circle, reason in zip(circles, seen, strict=True)
        ],
        [slot_reading(laid, begin, end) for begin, end in ends],
        [switch_reading(laid, at, switch.at) for at, switch in zip(points, switches, strict=True)],
        Lying(registration, first.shape, second.shape),
    )


def _another_panel(
    caps: Sequence[Cap], slots: Sequence[Slot], switches: Sequence[Switch]
) -> PanelReading:
    reason = Reason.OTHER_PANEL
    return PanelReading(
        [Reading(None, reason) for _ in caps],
        [SlotReading(None, None, reason) for _ in slots],
        [SwitchReading(None, reason) for _ in switches],
    )


def _reading(
    before: Layers, after: Layers, registration: Registration, circle: Circle, found: Found
) -> Reading:
    reason = reason_for(found, pair=bool(circle.inner))
    slope = registration.slope(circle.x, circle.y, circle.radius) * circle.radius
    return Reading(
        None if reason else found.turn,
        reason,
        _patch(before.grey, np.array([circle.x, circle.y]), np.eye(2) * circle.radius),
        _patch(after.grey, np.array(found.place), slope),
        found,
    )


def _patch(grey: NDArray[np.uint8], centre: Floats, slope: Floats) -> bytes:
    import cv2

    step = slope * (2 * PATCH_RADII / PATCH)
    warp = np.column_stack([step, centre - step @ [PATCH / 2, PATCH / 2]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    picture = cv2.warpAffine(grey, warp, (PATCH, PATCH), flags=flags)
    return bytes(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 85])[1])


def grey_of(data: bytes) -> NDArray[np.uint8]:
    """A JPEG as (height, width). Raises UnreadablePicture."""
    colours = colours_of(data)
    return mixed(colours, shares(colours))


def colours_of(data: bytes) -> Colours:
    """A JPEG as (height, width, 3). Raises UnreadablePicture."""
    import cv2

    try:
        colours = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    except cv2.error:
        colours = None
    if colours is None or min(colours.shape[:2]) < 64 or np.prod(colours.shape[:2]) > LARGEST:
        raise UnreadablePicture(gettext_noop("The picture cannot be read."))
    return np.asarray(colours, np.uint8)


def _region(spots: Sequence[tuple[float, float, float]]) -> tuple[float, float, float, float]:
    """Where the panel is likely to be: about what is marked, of which are given (x, y, radius)."""
    xs, ys, radii = zip(*spots, strict=True)
    room = 0.35 * max(max(xs) - min(xs), max(ys) - min(ys)) + 5 * max(radii)
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
