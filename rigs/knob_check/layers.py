"""The tones in which two photos of a panel are compared: one mix of their colours, brought to the
same brightness, as logarithms. Pure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.registration import Floats, Registration

Picture = NDArray[np.float32]
Colours = NDArray[np.uint8]  # (height, width, 3)

FLOOR = 8.0  # grey levels added before a logarithm is taken, at least
MOST_GAIN, NOISY = 8.0, 2.0  # of a dark photo; and floor for each of noise
BURNT = 246.0  # of 255
SMALLER = 4  # times, the picture on which mixes are compared
EVEN = 0.06  # noise, as a logarithm, beside which more of it matters
ALONE = 0.9  # what a single colour is worth: it is less sharp in a JPEG than all of them


class Layers:
    """A picture and its halves, in one mix of its colours, as logarithms, so that light only adds.

    `mix`: how much of each colour; `gain` and `floor`: that times so much, and so much added before
    the logarithm is taken, in grey levels: of a dark picture it would be that of the noise.
    `burnt`: what is above it is burnt out. Only where `coloured` are the colours kept, which take
    memory."""

    def __init__(
        self,
        colours: Colours,
        mix: Floats | None = None,
        gain: float = 1.0,
        floor: float = FLOOR,
        *,
        coloured: bool = False,
    ) -> None:
        import cv2

        self._colours = colours if coloured else None
        self.grey = mixed(colours, shares(colours) if mix is None else mix)
        self.burnt = math.log(BURNT * gain + floor)
        level = cv2.GaussianBlur(self.grey.astype(np.float32), (0, 0), 0.7)
        level *= np.float32(gain)
        self._levels: list[Picture] = []
        while min(level.shape) >= 64 and len(self._levels) < 5:
            half = cv2.pyrDown(level)
            level += np.float32(floor)
            self._levels.append(cv2.log(level, level))
            level = half

    def patch(self, centre: Any, slope: Any, pixels: float, half: int) -> Picture:
        """(2·half+1) square about `centre`; one of its pixels is `slope` / `pixels` of a radius."""
        step = np.asarray(slope, float) / pixels  # picture pixels a patch pixel
        size = math.sqrt(abs(float(np.linalg.det(step))))
        level = min(len(self._levels) - 1, max(0, math.floor(math.log2(max(size, 1e-6)) + 0.3)))
        at = np.asarray(centre, float)
        return np.asarray(_cut(self._levels[level], at, step, half, 2.0**level))

    def coloured(self, centre: Any, slope: Any, pixels: float, half: int) -> Picture:
        """The same in all three colours, as logarithms too: (2·half+1, 2·half+1, 3)."""
        import cv2

        step = np.asarray(slope, float) / pixels
        size = math.sqrt(abs(float(np.linalg.det(step))))
        # As many pixels as the picture has, then fewer.
        finer = max(1, round(size))
        side = (2 * half + 1) * finer
        assert self._colours is not None  # noqa: S101
        near: Any = _cut(self._colours, np.asarray(centre, float), step / finer, side // 2, 1.0)
        whole = cv2.resize(near, (2 * half + 1,) * 2, interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.log(whole.astype(np.float32) + np.float32(FLOOR)))


def _cut(level: Any, centre: Floats, step: Floats, half: int, down: float) -> Any:
    import cv2

    warp = np.column_stack([step / down, (centre - step @ [half, half]) / down])
    side = 2 * half + 1
    flags, border = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, cv2.BORDER_REPLICATE
    return cv2.warpAffine(level, warp, (side, side), flags=flags, borderMode=border)


def shares(colours: Colours) -> Floats:
    """Each colour as much as there is of it: in red light the others hold mostly noise."""
    import cv2

    share = np.array(cv2.mean(colours)[:3]) + 4.0
    return np.asarray(share / share.sum())


def mixed(colours: Colours, mix: Floats) -> NDArray[np.uint8]:
    """(height, width)."""
    import cv2

    grey = cv2.transform(colours, np.asarray(mix, np.float32)[None, :])
    return np.asarray(grey, np.uint8).reshape(colours.shape[:2])


def layers_of(
    reference: Colours,
    photo: Colours,
    registration: Registration,
    circles: Sequence[tuple[float, float, float]],
) -> tuple[Layers, Layers]:
    """Both photos in the mix in which what is in the circles (x, y, radius, in pixels of the
    reference) stands out most, as far as the photo has it: a red cap on a grey panel may be as
    bright as that in grey. The photo gets the brightness of the reference where both show the
    panel."""
    import cv2

    small = cv2.resize(
        reference, None, fx=1 / SMALLER, fy=1 / SMALLER, interpolation=cv2.INTER_AREA
    )
    one = _around(reference, registration.places)
    other = _around(photo, registration.to_photo(registration.places))
    best, most = (shares(photo), 1.0, FLOOR), -1.0
    for mix in (shares(photo), *np.eye(3)):
        gain = float(np.median((one @ mix + 2.0) / (other @ mix + 2.0)))
        gain = min(MOST_GAIN, max(1.0 / MOST_GAIN, gain))
        noise = max(_noise(reference, mix), gain * _noise(photo, mix))
        floor = max(FLOOR, NOISY * noise)
        tone = np.log(mixed(small, mix).astype(np.float32) + np.float32(floor))
        out = [_stands_out(tone, *(v / SMALLER for v in circle)) for circle in circles]
        even = noise / (float(np.median(one @ mix)) + floor)
        worth = (ALONE if most >= 0 else 1.0) * float(np.mean(out or [0.0])) / (even + EVEN)
        if worth > most:
            best, most = (mix, gain, floor), worth
    mix, gain, floor = best
    return Layers(reference, mix, 1.0, floor, coloured=True), Layers(photo, mix, gain, floor)


def _stands_out(tone: Picture, x: float, y: float, radius: float) -> float:
    """How much a cap and what is around it differ in themselves."""
    reach = max(2, round(1.2 * radius))
    top, left = max(0, round(y) - reach), max(0, round(x) - reach)
    part = tone[top : round(y) + reach + 1, left : round(x) + reach + 1]
    return float(part.std()) if part.size else 0.0


def _around(picture: Colours, places: Floats) -> Floats:
    """(n, 3): the colours about places of a picture."""
    import cv2

    even = cv2.resize(picture, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
    at = np.clip((places / 8).astype(int), 0, np.array(even.shape[1::-1]) - 1)
    return np.asarray(even[at[:, 1], at[:, 0]], float)


def _noise(picture: Colours, mix: Floats) -> float:
    """The deviation of its noise in grey levels (Immerkær, “Fast noise variance estimation”, 1996,
    here with the median; from memory), of some strips."""
    import cv2

    tops = np.linspace(0, max(1, picture.shape[0] - 24), 10).astype(int)
    kernel = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
    rough, grey = [], []
    for top in tops:
        strip = picture[top : top + 24].astype(np.float32) @ mix.astype(np.float32)
        rough.append(np.abs(cv2.filter2D(strip, cv2.CV_32F, kernel)))
        grey.append(strip)
    values, levels = np.concatenate(rough), np.concatenate(grey)
    # Where it is black, noise is cut off.
    lit = levels >= np.median(levels)
    return float(np.median(values[lit])) / (6 * 0.6745)
