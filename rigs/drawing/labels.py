"""Find room for words beside what they belong to. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rigs.drawing.layout import Box

_TURNS = 16
_STEP = 6.0  # how much further away each round of tries is


def free_box(
    x: float,
    y: float,
    size: tuple[float, float],
    *,
    inside: Box,
    taken: Sequence[Box],
    clear: float,
    centre_first: bool = False,
    rounds: int = 27,
) -> Box | None:
    """The nearest box of `size` round a point that overlaps none that is `taken`; None: no room.

    `clear` is half of what stands at the point; with `centre_first` the words may cover it.
    """
    width, height = size
    for middle_x, middle_y in _around(x, y, size, clear, rounds, centre_first=centre_first):
        box = Box(middle_x - width / 2, middle_y - height / 2, width, height)
        if _within(box, inside) and not any(box.overlaps(other) for other in taken):
            return box
    return None


def _within(box: Box, inside: Box) -> bool:
    across = box.x >= inside.x and box.x + box.width <= inside.x + inside.width
    return across and box.y >= inside.y and box.y + box.height <= inside.y + inside.height


def _around(
    x: float,
    y: float,
    size: tuple[float, float],
    clear: float,
    rounds: int,
    *,
    centre_first: bool,
) -> Iterator[tuple[float, float]]:
    if centre_first:
        yield x, y
    for step in range(1, rounds + 1):
        for turn in range(_TURNS):
            angle = 2 * math.pi * turn / _TURNS
            away = _STEP * step + clear
            yield (
                x + math.cos(angle) * (away + size[0] / 2),
                y + math.sin(angle) * (away + size[1] / 2 - 4),
            )
