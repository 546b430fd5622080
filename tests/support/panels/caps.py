"""How caps look: slices of colour at heights above the panel, in pictures of the cap from above.

Lengths in mm, angles in degrees, clockwise, 0 up. A picture spans ±EXTENT radii; colours 0 to 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Picture = NDArray[np.float32]  # (side, side, 4): red, green, blue, opacity

EXTENT = 1.1
SIDE = 144
SKIRT_HEIGHT = 0.8  # mm; its numbers are what is read
# Kinds whose turn cannot be told from a picture by anybody.
UNREADABLE = ("fluted without a line", "slot")
KINDS = (
    "line",
    "pointer",
    "dot",
    "skirt with numbers",
    "chicken-head",
    "fluted with a line",
    "fluted without a line",
    "trimmer with an arrow",
    "slot",
    "ring of a pair",
    "cap of a pair",
)

_y, _x = np.mgrid[0:SIDE, 0:SIDE].astype(np.float32)
_X = (_x - (SIDE - 1) / 2) / ((SIDE - 1) / 2) * EXTENT
_Y = -(_y - (SIDE - 1) / 2) / ((SIDE - 1) / 2) * EXTENT  # up
_RHO = np.hypot(_X, _Y)
_PHI = np.arctan2(_X, _Y)  # clockwise from up
_EDGE = 2.2 * EXTENT / SIDE  # a step as soft as the picture can show


@dataclass(frozen=True)
class Cap:
    """One cap of a panel. `at` from the panel's upper left, in mm."""

    kind: str
    at: tuple[float, float]
    radius: float
    height: float
    colour: tuple[float, float, float]
    mark: tuple[float, float, float]
    metal: bool = False
    worn: float = 0.0  # how much of the mark's contrast is gone
    flutes: int = 18
    width: float = 0.1  # of the mark, in radii
    seed: int = 0
    inner: float = 0.0  # what a smaller cap covers of it, in radii
    base: float = 0.0  # mm above the panel where it begins
    extra: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Light:
    """Where the light comes from: `azimuth` in radians clockwise from up, and how hard it is."""

    azimuth: float
    hard: float


def slices(cap: Cap, turn: float, light: Light) -> list[tuple[float, Picture]]:
    """Heights in mm and pictures, lowest first, of the cap turned by `turn` degrees."""
    body = _shape(cap, math.radians(turn), 1.0)
    steps = max(3, min(9, round(cap.height - cap.base)))
    out: list[tuple[float, Picture]] = []
    for step in range(steps):
        part = step / steps
        height = cap.base + part * (cap.height - cap.base)
        shape = body
        if cap.kind == "skirt with numbers":
            shape = _disc(1.0) if step == 0 else _disc(0.62)
        if cap.kind == "skirt with numbers" and step == 0:
            out.append((height + SKIRT_HEIGHT, _skirt(cap, turn, light)))
            continue
        out.append((height, _side(cap, math.radians(turn), shape, light)))
    out.append((cap.height, _top(cap, turn, light)))
    return out


def marked_height(cap: Cap) -> float:
    """The height in mm of the face that bears the mark: the top, or the skirt."""
    return cap.base + SKIRT_HEIGHT if cap.kind == "skirt with numbers" else cap.height


def mark_points(cap: Cap, turn: float) -> list[tuple[float, float]]:
    """Places of the mark, in radii from the centre, x right and y up; of a skirt its numbers."""
    if cap.kind == "skirt with numbers":
        around = [math.radians(turn - 150 + 30 * number) for number in range(11)]
        return [(0.82 * math.sin(a), 0.82 * math.cos(a)) for a in around]
    return [_along_mark(turn, r, 0.0) for r in _REACH.get(cap.kind, (0.45, 0.65, 0.85))]


def beside_mark(cap: Cap, turn: float, place: int) -> list[tuple[float, float]]:
    """What is to either side of one of `mark_points` of a cap that bears a mark."""
    off = cap.width * (1.0 if cap.kind == "dot" else 0.5) + 0.1
    if cap.kind == "trimmer with an arrow":
        off = 0.2
    reach = _REACH.get(cap.kind, (0.45, 0.65, 0.85))[place]
    return [_along_mark(turn, reach, side * off) for side in (-1, 1)]


_REACH = {
    "dot": (0.64, 0.68, 0.72),
    "ring of a pair": (0.7, 0.8, 0.9),
    "trimmer with an arrow": (-0.6, -0.3, 0.0),
}


def _along_mark(turn: float, reach: float, off: float) -> tuple[float, float]:
    a = math.radians(turn)
    return (
        reach * math.sin(a) + off * math.cos(a),
        reach * math.cos(a) - off * math.sin(a),
    )


def _disc(radius: float) -> NDArray[np.float32]:
    return np.clip((radius - _RHO) / _EDGE + 0.5, 0, 1)


def _along(turn: float) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Coordinates that turn with the cap: along its mark, and across it."""
    return (
        _X * math.sin(turn) + _Y * math.cos(turn),
        _X * math.cos(turn) - _Y * math.sin(turn),
    )


def _shape(cap: Cap, turn: float, size: float) -> NDArray[np.float32]:
    if cap.kind.startswith("fluted"):
        wave = 1 - 0.05 * (1 + np.cos(cap.flutes * (_PHI - turn)))
        return np.clip((size * wave - _RHO) / _EDGE + 0.5, 0, 1)
    if cap.kind == "chicken-head":
        along, across = _along(turn)
        hub = _disc(0.55)
        taper = 0.42 * np.clip(1.0 - (along + 0.2) / 1.25, 0.12, 1)
        beak = np.clip((taper - np.abs(across)) / _EDGE + 0.5, 0, 1)
        beak = beak * (along > -0.55) * (along < 0.98)
        return np.maximum(hub, beak).astype(np.float32)
    return _disc(size)


def _grain(cap: Cap, turn: float) -> NDArray[np.float32]:
    """Dirt and scratches, which turn with the cap."""
    rng = np.random.default_rng(cap.seed)
    along, across = _along(turn)
    out = np.zeros_like(_RHO)
    for _ in range(5):
        kx, ky, phase = rng.normal(0, 4), rng.normal(0, 4), rng.uniform(0, 6.3)
        out += np.cos(kx * along + ky * across + phase).astype(np.float32)
    return out * np.float32(cap.extra.get("dirt", 0.004))


def _painted(
    colour: NDArray[np.float32] | tuple[float, ...], opacity: NDArray[np.float32]
) -> Picture:
    out = np.empty((SIDE, SIDE, 4), np.float32)
    out[..., :3] = colour
    out[..., 3] = opacity
    return out


def _side(cap: Cap, turn: float, shape: NDArray[np.float32], light: Light) -> Picture:
    facing = np.cos(_PHI - light.azimuth)
    shade = 0.62 + 0.38 * light.hard * facing
    if cap.kind.startswith("fluted"):
        shade = shade + 0.18 * np.sin(cap.flutes * (_PHI - turn))
    return _painted(np.array(cap.colour, np.float32) * np.clip(shade, 0.1, 1.3)[..., None], shape)


def _top(cap: Cap, turn: float, light: Light) -> Picture:
    angle = math.radians(turn)
    shape = _disc(0.62) if cap.kind == "skirt with numbers" else _shape(cap, angle, 0.97)
    ground = np.array(cap.colour, np.float32) * np.ones((SIDE, SIDE, 1), np.float32)
    if cap.metal:
        # Turned metal throws a double fan of light, which stays where it is when the cap turns.
        fan = np.cos(_PHI - light.azimuth) ** 2
        ground = ground * (0.75 + 0.5 * light.hard * fan[..., None])
    # A chamfer: its lit side stays where the light is.
    rim = np.clip((_RHO - 0.86) / 0.05, 0, 1) * np.clip((0.99 - _RHO) / 0.03, 0, 1)
    ground = ground * (1 + 0.35 * light.hard * (rim * np.cos(_PHI - light.azimuth))[..., None])
    across_light = (_X * math.sin(light.azimuth) + _Y * math.cos(light.azimuth)).astype(np.float32)
    ground = ground * (1 + 0.1 * light.hard * across_light[..., None])
    if cap.kind.startswith("fluted"):
        ring = np.clip((_RHO - 0.8) / 0.05, 0, 1)
        ground = ground * (1 + 0.1 * (ring * np.sin(cap.flutes * (_PHI - angle)))[..., None])
    ground = ground + _grain(cap, angle)[..., None]
    ink = _mark(cap, angle) * (1 - cap.worn)
    colour = ground * (1 - ink[..., None]) + np.array(cap.mark, np.float32) * ink[..., None]
    if cap.kind == "pointer":
        along, across = _along(angle)
        bar = np.clip((0.26 - np.abs(across)) / _EDGE + 0.5, 0, 1) * (np.abs(along) < 0.93)
        lit = 1 + 0.4 * light.hard * np.sign(across) * math.cos(angle + 1.57 - light.azimuth)
        edge = np.clip((np.abs(across) - 0.18) / _EDGE, 0, 1) * bar
        colour = colour * (1 + (edge * (lit - 1))[..., None])
    return _painted(colour.astype(np.float32), shape)


def _mark(cap: Cap, turn: float) -> NDArray[np.float32]:
    along, across = _along(turn)

    def bar(begin: float, end: float, width: float) -> NDArray[np.float32]:
        wide = np.clip((width / 2 - np.abs(across)) / _EDGE + 0.5, 0, 1)
        return wide * np.clip((along - begin) / _EDGE, 0, 1) * np.clip((end - along) / _EDGE, 0, 1)

    match cap.kind:
        case "dot":
            far = np.hypot(along - 0.68, across)
            return np.clip((cap.width - far) / _EDGE + 0.5, 0, 1)
        case "line" | "fluted with a line" | "cap of a pair":
            return bar(0.3, 0.95, cap.width)
        case "pointer":
            return bar(-0.2, 0.97, cap.width)
        case "chicken-head":
            return bar(0.1, 0.95, cap.width)
        case "ring of a pair":
            return bar(0.66, 0.96, cap.width)
        case "trimmer with an arrow":
            head = np.clip((0.75 - along) * 0.8 - np.abs(across), 0, _EDGE) / _EDGE
            return np.maximum(bar(-0.8, 0.4, 0.2), head * (along > 0.1))
        case "slot":
            return bar(-0.85, 0.85, 0.22)
    return np.zeros_like(_RHO)


def _skirt(cap: Cap, turn: float, light: Light) -> Picture:
    """Numbers around, which turn with the cap."""
    sheet = Image.new("L", (SIDE * 2, SIDE * 2), 0)
    font = ImageFont.load_default(size=int(SIDE * 0.2))
    for number in range(11):
        angle = -150 + 30 * number
        tile = Image.new("L", sheet.size, 0)
        draw = ImageDraw.Draw(tile)
        draw.text((SIDE, SIDE * (1 - 0.82 / EXTENT)), str(number), 255, font=font, anchor="mm")
        sheet = Image.composite(
            Image.new("L", sheet.size, 255),
            sheet,
            tile.rotate(angle, resample=Image.Resampling.BICUBIC),
        )
    turned = sheet.rotate(-turn, resample=Image.Resampling.BICUBIC).resize(
        (SIDE, SIDE), Image.Resampling.LANCZOS
    )
    ink = np.asarray(turned, np.float32) / 255 * (1 - cap.worn)
    shade = 1 + 0.1 * light.hard * np.cos(_PHI - light.azimuth) * _RHO
    ground = np.array(cap.colour, np.float32) * shade[..., None]
    colour = ground * (1 - ink[..., None]) + np.array(cap.mark, np.float32) * ink[..., None]
    return _painted(colour.astype(np.float32), _disc(1.0))
