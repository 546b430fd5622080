"""Where the caps of one photo are in another, to show both in the same place and size. Pure.

Runs in the process for what somebody sent, as `reading` does: pictures may be broken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rigs.knob_check.reading import Cap, Lying, PanelReading, grey_of, read_panel
from rigs.knob_check.registration import align
from rigs.knob_check.sliding import Slot, Switch

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
    every, lying = [*caps, *around], panel.lying
    if lying is None:
        return Checked(panel, (), tuple(() for _ in every))
    shifts = [each.found.shift if each.found else (0.0, 0.0) for each in panel.turns]
    shifts += [(0.0, 0.0)] * len(around)
    seen = tuple(_seen(lying, cap, shift) for cap, shift in zip(every, shifts, strict=True))
    return Checked(replace(panel, lying=None), _plane(lying), seen)


def lay(first: bytes, second: bytes) -> tuple[float, ...]:
    """The `plane` of `Checked` between two photos of whatever. Raises UnreadablePicture."""
    a, b = grey_of(first), grey_of(second)
    height, width = a.shape
    registration = align(a, b, (0.0, 0.0, float(width), float(height)))
    return () if registration is None else _plane(Lying(registration, a.shape, b.shape))


def _plane(lying: Lying) -> tuple[float, ...]:
    """The bent plane as a flat one, which is what a browser can draw."""
    import cv2

    registration = lying.registration
    low, high = registration.places.min(axis=0), registration.places.max(axis=0)
    steps = np.linspace(0.0, 1.0, GRID)
    grid = np.array([low + (high - low) * [u, v] for u in steps for v in steps])
    seen = registration.to_photo(grid)
    sides = [np.array([shape[1], shape[0]], float) for shape in (lying.first, lying.second)]
    plane, _ = cv2.findHomography(grid / sides[0], seen / sides[1], 0)
    return () if plane is None else tuple(round(float(n), 9) for n in plane.ravel())


def _seen(lying: Lying, cap: Cap, shift: tuple[float, float]) -> tuple[float, ...]:
    """`shift`: where the cap itself was found, which stands off the panel, in radii."""
    registration, (height, width) = lying.registration, lying.first
    x, y, radius = cap.x * width, cap.y * height, cap.radius * width
    slope = registration.slope(x, y, radius) * radius
    centre = registration.to_photo(np.array([[x, y]]))[0] + slope @ np.array(shift)
    return tuple(
        round(float(n), 2) for n in (slope[0, 0], slope[1, 0], slope[0, 1], slope[1, 1], *centre)
    )
