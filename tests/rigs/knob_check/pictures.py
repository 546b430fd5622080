"""A drawn panel of four knobs and its photos, small, so that they are made in a moment."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from PIL import Image, ImageDraw

from rigs.knob_check.reading import Cap
from tests.support.panels import camera, caps, draw
from tests.support.panels.sliders import Slider

SIZE = (880, 660)
BEFORE = (-60.0, 20.0, 110.0, 0.0)
AFTER = (-60.0, 55.0, 110.0, -12.0)
LINES = ("line",) * 4
WITHOUT = ("fluted without a line",) * 4


def _panel(
    kinds: tuple[str, ...], seed: int, pitch: float, sliders: tuple[Slider, ...]
) -> draw.Panel:
    made = tuple(
        caps.Cap(kind, (45 + pitch * i, 45.0), 9.0, 12.0, (0.08,) * 3, (0.93,) * 3, seed=i)
        for i, kind in enumerate(kinds)
    )
    return draw.Panel(202.0, 88.0, made, seed, (0.7, 0.68, 0.62), (0.1, 0.1, 0.12), sliders)


def view(off: float) -> camera.Camera:
    """From where it is taken, so many degrees off sideways and half of them from above."""
    with small():
        scale = 202.0 / SIZE[0] / 0.86
        focal = 0.88 * SIZE[0]
        return camera.Camera((101.0, 44.0), focal * scale, focal, off, off / 2, off / 3)


@contextmanager
def small() -> Iterator[None]:
    whole = camera.SIZE
    for module in (camera, draw):
        setattr(module, "SIZE", SIZE)  # noqa: B010
    try:
        yield
    finally:
        for module in (camera, draw):
            setattr(module, "SIZE", whole)  # noqa: B010


@cache
def photo(
    *,
    turns: tuple[float, ...],
    kinds: tuple[str, ...] = LINES,
    off: float = 0.0,
    seed: int = 3,
    pitch: float = 38.0,
    sliders: tuple[Slider, ...] = (),
    places: tuple[float, ...] = (),
) -> draw.Photo:
    panel = _panel(kinds[: len(turns)], seed, pitch, sliders)
    taken = seed + int(off)
    with small():
        taking = draw.Taking(view(off), azimuth=0.7 + taken, seed=taken)
        return draw.photograph(panel, turns, taking, places)


def circles(of: draw.Photo) -> list[Cap]:
    return [Cap(c.x / SIZE[0], c.y / SIZE[1], c.radius / SIZE[0]) for c in of.caps]


def spoilt(of: draw.Photo, *, covered: int, cut: int) -> bytes:
    """The photo with a sheet over one cap, and cut through the middle of another."""
    with Image.open(io.BytesIO(of.jpeg)) as picture:
        cap = of.caps[covered]
        r = cap.radius * 1.1
        ImageDraw.Draw(picture).rectangle(
            (cap.x - r, cap.y - r, cap.x + r, cap.y + r), fill=(120, 118, 110)
        )
        return _jpeg(picture.crop((0, 0, round(of.caps[cut].x), SIZE[1])))


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=90)
    return out.getvalue()
