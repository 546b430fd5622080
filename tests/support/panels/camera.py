"""A pinhole camera that looks at a panel, and pictures warped into what it sees.

The panel lies in z = 0, x right, y down, z towards the camera, in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

SIZE = (2016, 1512)
Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Camera:
    """`sideways` and `above`: degrees off the middle of the panel; `roll`: how it is held."""

    centre: tuple[float, float]  # of what it looks at, mm
    distance: float  # mm
    focal: float  # in pixels
    sideways: float = 0.0
    above: float = 0.0
    roll: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)  # of the picture, pixels
    bend: float = 0.0  # barrel below 0, pincushion above, at the corner

    @property
    def off_axis(self) -> float:
        """Degrees between the view and the panel's normal."""
        a, b = math.radians(self.sideways), math.radians(self.above)
        return math.degrees(math.acos(math.cos(a) * math.cos(b)))

    def at_height(self, height: float) -> Matrix:
        """From (x, y, 1) in mm on the plane that lies `height` mm over the panel to pixels."""
        a, b, c = (math.radians(v) for v in (self.sideways, self.above, self.roll))
        about_y = np.array(
            [[math.cos(a), 0, math.sin(a)], [0, 1, 0], [-math.sin(a), 0, math.cos(a)]]
        )
        about_x = np.array(
            [[1, 0, 0], [0, math.cos(b), -math.sin(b)], [0, math.sin(b), math.cos(b)]]
        )
        about_z = np.array(
            [[math.cos(c), -math.sin(c), 0], [math.sin(c), math.cos(c), 0], [0, 0, 1]]
        )
        turned = about_z @ about_x @ about_y
        x0, y0 = self.centre
        # Depth grows away from the camera: a point higher over the panel is nearer.
        columns = np.column_stack(
            [turned[:, 0], turned[:, 1], turned @ np.array([-x0, -y0, -height])]
        )
        columns[2, 2] += self.distance
        cx, cy = SIZE[0] / 2 + self.shift[0], SIZE[1] / 2 + self.shift[1]
        inside = np.array([[self.focal, 0, cx], [0, self.focal, cy], [0, 0, 1]])
        return inside @ columns

    def sees(self, x: float, y: float, height: float) -> tuple[float, float]:
        """Pixels of a point, lens and all."""
        u, v, w = self.at_height(height) @ np.array([x, y, 1.0])
        return self._bent(u / w, v / w)

    def _bent(self, u: float, v: float) -> tuple[float, float]:
        """Where the lens shows what a straight one would at (u, v): the inverse of `bend`."""
        cx, cy = SIZE[0] / 2, SIZE[1] / 2
        corner = math.hypot(cx, cy)
        x, y = u, v
        for _ in range(12):
            far = ((x - cx) ** 2 + (y - cy) ** 2) / corner**2
            x, y = cx + (u - cx) / (1 + self.bend * far), cy + (v - cy) / (1 + self.bend * far)
        return x, y


def warp(picture: Image.Image, to_pixels: Matrix, box: tuple[int, int, int, int]) -> Image.Image:
    """The part of the photo in `box` (left, upper, right, lower); `to_pixels` maps the picture's
    own pixels to the photo's."""
    shift = np.array([[1, 0, box[0]], [0, 1, box[1]], [0, 0, 1.0]])
    back = np.linalg.inv(to_pixels) @ shift
    back = back / back[2, 2]
    return picture.transform(
        (box[2] - box[0], box[3] - box[1]),
        Image.Transform.PERSPECTIVE,
        tuple(back.reshape(-1)[:8]),
        Image.Resampling.BICUBIC,
    )


def through_lens(photo: NDArray[np.float32], bend: float) -> NDArray[np.float32]:
    """(height, width, 3) as a lens that bends shows it."""
    from scipy.ndimage import map_coordinates

    if not bend:
        return photo
    height, width = photo.shape[:2]
    y = np.arange(height, dtype=np.float32)[:, None]
    x = np.arange(width, dtype=np.float32)[None, :]
    cx, cy = width / 2, height / 2
    far = ((x - cx) ** 2 + (y - cy) ** 2) / (cx**2 + cy**2)
    stretch = 1 + np.float32(bend) * far
    source = np.stack([cy + (y - cy) * stretch, cx + (x - cx) * stretch])
    return np.dstack(
        [
            map_coordinates(photo[..., c], source, order=1, mode="nearest", output=np.float32)
            for c in range(3)
        ]
    )
