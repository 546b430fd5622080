"""Where the caps of one photo are in another, to show both in the same place and size. Pure.

Runs in the process for what somebody sent, as `reading` does: pictures may be broken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.reading import Cap, PanelReading, UnreadablePicture, read_panel
from rigs.knob_check.registration import Registration, align
from rigs.knob_check.sliding import Slot, Switch

EDGE = 820  # pixels of the longer edge; features are looked for in no more
GRID = 7  # places a side that the plane is fitted to


@dataclass(frozen=True)
class Checked:
    """What a photo shows of a panel, and where.

    `plane` leads from the first to the second, nine numbers row by row, places being fractions of
    width and height; empty where they cannot be laid on each other. `seen` has an entry for each
    cap: six numbers (a, b, c, d, e, f), so that what is (u, v) radii right of and below the middle
    of its circle is at (a·u + c·v + e, b·u + d·v + f) pixels of the second photo; empty where it is
    not known; slots come after caps, and switches last. The order of the six is that of the
    attribute `transform` of SVG 1.1 (W3C, section 7.6).
    """

    panel: PanelReading
    plane: tuple[float, ...] = ()
    seen: tuple[tuple[float, ...], ...] = ()


def read_and_lay(
    reference: bytes,
    photo: bytes,
    caps: Sequence[Cap],
    slots: Sequence[Slot],
    switches: Sequence[Switch],
    around: Sequence[Cap],
) -> Checked:
    """What `photo` shows of all that is marked; `around` are circles about the slots and then the
    switches, to be shown. Raises UnreadablePicture."""
    panel = read_panel(reference, photo, caps, slots, switches)
    every = [*caps, *around]
    first, second = _decoded(reference), _decoded(photo)
    registration = align(_grey(first), _grey(second), _region(every, first.shape))
    if registration is None:
        return Checked(panel, (), tuple(() for _ in every))
    shifts = [each.found.shift if each.found else (0.0, 0.0) for each in panel.turns]
    shifts += [(0.0, 0.0)] * len(around)
    seen = tuple(
        _seen(registration, cap, shift, first.shape)
        for cap, shift in zip(every, shifts, strict=True)
    )
    return Checked(panel, _plane(registration, first.shape, second.shape), seen)


def lay(first: bytes, second: bytes) -> tuple[float, ...]:
    """The `plane` of `Checked` between two photos of whatever. Raises UnreadablePicture."""
    a, b = _decoded(first), _decoded(second)
    height, width = a.shape[:2]
    registration = align(_grey(a), _grey(b), (0.0, 0.0, float(width), float(height)))
    return () if registration is None else _plane(registration, a.shape, b.shape)


def _decoded(data: bytes) -> NDArray[np.uint8]:
    import cv2

    cv2.setNumThreads(1)  # a server has few processors, and others wait for them
    picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    if picture is None or min(picture.shape[:2]) < 64:
        raise UnreadablePicture("The picture cannot be read.")
    return np.asarray(picture, np.uint8)


def _grey(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return np.asarray(picture.mean(axis=2), np.uint8)


def _region(caps: Sequence[Cap], shape: tuple[int, ...]) -> tuple[float, ...]:
    """Where the panel is likely to be: about the caps."""
    height, width = shape[:2]
    xs, ys = [cap.x * width for cap in caps], [cap.y * height for cap in caps]
    room = 0.35 * max(max(xs) - min(xs), max(ys) - min(ys))
    room += 5 * width * max(cap.radius for cap in caps)
    return min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room


def _plane(
    registration: Registration, first: tuple[int, ...], second: tuple[int, ...]
) -> tuple[float, ...]:
    """The bent plane as a flat one, which is what a browser can draw."""
    import cv2

    low, high = registration.places.min(axis=0), registration.places.max(axis=0)
    steps = np.linspace(0.0, 1.0, GRID)
    grid = np.array([low + (high - low) * [u, v] for u in steps for v in steps])
    seen = registration.to_photo(grid)
    sides = [np.array([shape[1], shape[0]], float) for shape in (first, second)]
    plane, _ = cv2.findHomography(grid / sides[0], seen / sides[1], 0)
    return () if plane is None else tuple(round(float(n), 9) for n in plane.ravel())


def _seen(
    registration: Registration, cap: Cap, shift: tuple[float, float], shape: tuple[int, ...]
) -> tuple[float, ...]:
    """`shift`: where the cap itself was found, which stands off the panel, in radii."""
    height, width = shape[:2]
    x, y, radius = cap.x * width, cap.y * height, cap.radius * width
    slope = registration.slope(x, y, radius) * radius
    centre = registration.to_photo(np.array([[x, y]]))[0] + slope @ np.array(shift)
    return tuple(
        round(float(n), 2) for n in (slope[0, 0], slope[1, 0], slope[0, 1], slope[1, 1], *centre)
    )
