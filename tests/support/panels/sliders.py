"""Faders and switches on drawn panels: what moves along a line, slice by slice above the panel.

Lengths in mm. Pictures are squares of EXTENT mm to either side of the middle of what moves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import ImageDraw

Picture = NDArray[np.float32]  # (side, side, 4): red, green, blue, opacity
Point = tuple[float, float]

EXTENT, SIDE = 10.0, 160


@dataclass(frozen=True)
class Slider:
    """`kind`: fader, slide switch or toggle. `start` and `end` of its way on the panel; of a toggle
    those of its tip. `long` and `wide`: along its way and across, of what is moved."""

    kind: str
    start: Point
    end: Point
    long: float
    wide: float
    height: float
    colour: tuple[float, float, float]
    mark: tuple[float, float, float]
    positions: int = 0  # of a switch

    def at(self, place: float) -> Point:
        """The middle of what is moved at `place`, 0 at its start and 1 at its end."""
        (x0, y0), (x1, y1) = self.start, self.end
        return x0 + (x1 - x0) * place, y0 + (y1 - y0) * place

    @property
    def way(self) -> float:
        """Radians clockwise from up of its way."""
        return math.atan2(self.end[0] - self.start[0], self.start[1] - self.end[1])


_y, _x = np.mgrid[0:SIDE, 0:SIDE].astype(np.float32)
_X = (_x - (SIDE - 1) / 2) / ((SIDE - 1) / 2) * EXTENT
_Y = -(_y - (SIDE - 1) / 2) / ((SIDE - 1) / 2) * EXTENT
_EDGE = 2 * EXTENT / SIDE


def slices(slider: Slider, place: float, azimuth: float) -> list[tuple[float, Point, Picture]]:
    """Heights, middles and pictures, lowest first."""
    middle = slider.at(place)
    if slider.kind == "toggle":
        return _toggle(slider, middle)
    along = _X * math.sin(slider.way) + _Y * math.cos(slider.way)
    across = _X * math.cos(slider.way) - _Y * math.sin(slider.way)
    shape = _box(along, across, slider.long, slider.wide)
    out: list[tuple[float, Point, Picture]] = []
    for part in np.linspace(0.15, 0.95, 6):
        shade = 0.65 + 0.2 * np.sign(_X * math.sin(azimuth) + _Y * math.cos(azimuth))
        out.append((slider.height * float(part), middle, _painted(slider.colour, shade, shape)))
    line = _box(along, across, slider.long * 0.14, slider.wide * 0.98)[..., None]
    top = _painted(slider.colour, np.ones_like(_X), shape)
    top[..., :3] = top[..., :3] * (1 - line) + np.array(slider.mark, np.float32) * line
    out.append((slider.height, middle, top))
    return out


def _toggle(slider: Slider, tip: Point) -> list[tuple[float, Point, Picture]]:
    """A lever that leans from its nut on the panel."""
    foot = slider.at(0.5)
    out = []
    for part in np.linspace(0.0, 1.0, 10):
        size = slider.wide * (1.6 if part == 0 else 0.6 + 0.4 * float(part))
        shape = np.clip((size / 2 - np.hypot(_X, _Y)) / _EDGE + 0.5, 0, 1)
        at = (
            foot[0] + (tip[0] - foot[0]) * float(part),
            foot[1] + (tip[1] - foot[1]) * float(part),
        )
        colour = slider.mark if part == 1 else slider.colour
        shade = np.full_like(_X, 0.5 if part == 0 else 0.8 + 0.2 * float(part))
        out.append((slider.height * float(part), at, _painted(colour, shade, shape)))
    return out


def _box(along: Picture, across: Picture, long: float, wide: float) -> Picture:
    ends = np.clip((long / 2 - np.abs(along)) / _EDGE + 0.5, 0, 1)
    return np.asarray(ends * np.clip((wide / 2 - np.abs(across)) / _EDGE + 0.5, 0, 1), np.float32)


def _painted(colour: tuple[float, ...], shade: NDArray[np.float32], shape: Picture) -> Picture:
    out = np.empty((SIDE, SIDE, 4), np.float32)
    out[..., :3] = np.array(colour, np.float32) * shade[..., None]
    out[..., 3] = shape
    return out


def draw_ways(
    pen: ImageDraw.ImageDraw, sliders: tuple[Slider, ...], scale: float, ink: tuple[int, ...]
) -> None:
    """The slots and the marks beside them, flat on the panel."""
    for slider in sliders:
        (x0, y0), (x1, y1) = ((v * scale for v in point) for point in (slider.start, slider.end))
        dark = (12, 12, 12)
        wide = {"fader": 1.6, "slide switch": 0.8 * slider.wide}.get(slider.kind, 0.0)
        if wide:
            # The slot of a switch goes on under its cap.
            more = slider.long * 0.7 * scale if slider.positions else 0.0
            dx, dy = more * math.sin(slider.way), -more * math.cos(slider.way)
            pen.line(
                (x0 - dx, y0 - dy, x1 + dx, y1 + dy), fill=dark, width=max(2, int(wide * scale))
            )
        out = (slider.wide / 2 + 2.0) * scale
        side_x, side_y = math.cos(slider.way) * out, math.sin(slider.way) * out
        for part in np.linspace(0, 1, slider.positions or 11):
            x, y = x0 + (x1 - x0) * part, y0 + (y1 - y0) * part
            pen.line(
                (x + side_x, y + side_y, x + 1.4 * side_x, y + 1.4 * side_y),
                fill=ink,
                width=max(1, int(0.4 * scale)),
            )
