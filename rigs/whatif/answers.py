"""What a question gets back, as words and numbers ready to show. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

NOW_THEN = ("", "Now", "Then")


class Subject(NamedTuple):
    """What a question is about: the id of a part (or show) and its words."""

    id: str
    label: str


class Proposal(NamedTuple):
    """The field of the rig that would make the answer true: kind, id and field of a part."""

    kind: str
    part: str
    field: str
    value: str


class Caution(NamedTuple):
    title: str
    text: str
    icon: str = "triangle-alert"


class Table(NamedTuple):
    """Rows with as many cells as there are columns; the first cell names the row."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """`problems` say what is not known and is therefore not worked out."""

    words: str = ""
    tables: tuple[Table, ...] = ()
    problems: tuple[str, ...] = ()
    assumes: tuple[str, ...] = ()
    drawing: str = ""
    proposal: Proposal | None = None
    caution: Caution | None = None


def number(value: float, unit: str, places: int = 1, sign: bool = False) -> str:
    """“−4.1 dB”, with a true minus sign; no “−0.0”."""
    text = f"{value:{'+' if sign else ''}.{places}f}"
    if float(text) == 0:
        text = f"{0:.{places}f}"
    return f"{text} {unit}".strip().replace("-", "−")


def number_beside(value: float, limit: float, unit: str, places: int = 1) -> str:
    """Like `number`, and never rounded onto a limit that it is not: “100.3 %”, “just over 100 %”.

    A value within a millionth of the limit counts as the limit.
    """
    if math.isclose(value, limit, rel_tol=1e-6):
        return number(limit, unit, places)
    for more in (places, places + 1):
        if float(f"{value:.{more}f}") != limit:
            return number(value, unit, more)
    return f"just {'over' if value > limit else 'under'} {number(limit, unit, 0)}"


def hertz(value: float | None, none: str) -> str:
    """“82.4 Hz”, “343 Hz”, “4.05 kHz”; `none` where there is no such frequency."""
    if value is None:
        return none
    if value >= 1000:
        return number(value / 1000, "kHz", 2)
    return number(value, "Hz", 0 if value >= 100 else 1)
