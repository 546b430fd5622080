"""Where one microphone stands: from the side and from above, to scale.

The tape runs straight from the reference point to the microphone (`distance`); height is above
the reference point, offset is sideways of it, to the right as one looks at the source. How far
the microphone stands out in front follows from the three. The angle is that between the
microphone's axis and the axis straight out of the source, seen from above.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rigs.describing.views import InputView
from rigs.drawing.svg import Node, fit, group, node, picture, text

PANEL_WIDTH, PANEL_HEIGHT = 224.0, 196.0
SOURCE_X, ROOM_X, ROOM_Y = 34.0, 136.0, 56.0  # of a panel: the source; what the scale may fill
MIDDLE = 104.0  # y of the reference point where nothing is above or below it
BODY, HEAD = 26.0, 7.0  # of the microphone, which is a sign and not to scale
_STEPS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50)


@dataclass(frozen=True, slots=True)
class Placement:
    """Metres from the reference point: out in front, up, to the right. None is not measured."""

    out: float | None
    up: float | None
    right: float | None
    angle: float | None
    problem: str = ""


def placed(entry: InputView) -> Placement:
    """Where the microphone is, worked out of what was measured."""
    distance, up, right, angle = (
        None if value is None else float(value)
        for value in (entry.distance_m, entry.height_m, entry.offset_m, entry.angle_deg)
    )
    if distance is None:
        return Placement(None, up, right, angle)
    beside = math.hypot(up or 0.0, right or 0.0)
    if beside > distance + 1e-9:
        return Placement(
            None, up, right, angle,
            "Height and offset are more than the distance: one of them was measured from "
            "somewhere else.",
        )  # fmt: skip
    return Placement(math.sqrt(max(0.0, distance**2 - beside**2)), up, right, angle)


def measured(entry: InputView) -> list[tuple[str, str]]:
    """What the sketch shows, as label and text; what was not measured says so."""
    return [
        ("Measured from", entry.reference_point or "not said"),
        ("Aimed at", entry.aimed_at or "not said"),
        ("Distance", entry.distance_text or "not measured"),
        ("Angle off axis", entry.angle_text or "not measured"),
        ("Height", entry.height_text or "not measured"),
        ("Sideways offset", entry.offset_text or "not measured"),
    ]


def alternative(entry: InputView) -> str:
    told = "; ".join(f"{label.lower()} {words}" for label, words in measured(entry))
    problem = placed(entry).problem
    return f"{told}.{f' {problem}' if problem else ''}"


def placement_sketch(entry: InputView, *, decoration: bool = False) -> str:
    """Both views beside each other. Empty for an input without a microphone, such as a DI."""
    if entry.device is not None and entry.device.form != "mic":
        return ""
    place = placed(entry)
    scale = _scale(place)
    panels = (
        _panel(entry, place, scale, from_above=False),
        group(
            _panel(entry, place, scale, from_above=True), transform=f"translate({PANEL_WIDTH:g} 0)"
        ),
    )
    return picture(
        2 * PANEL_WIDTH, PANEL_HEIGHT, panels, title=f"Placement of {entry.label}",
        desc=alternative(entry), class_="drawing placement", decoration=decoration,
    ).render()  # fmt: skip


def _scale(place: Placement) -> float:
    """Drawn units to the metre, the same in both views."""
    across = max(abs(place.up or 0.0), abs(place.right or 0.0))
    limits = [
        room / size for room, size in ((ROOM_X, place.out or 0.0), (ROOM_Y, across)) if size > 1e-6
    ]
    return min(limits) if limits else 0.0


def _panel(entry: InputView, place: Placement, scale: float, *, from_above: bool) -> Node:
    aside = place.right if from_above else place.up
    # From above, right of the source (as one looks at it) is down the page.
    sign = 1.0 if from_above else -1.0
    known = place.out is not None
    x = SOURCE_X + (place.out * scale if place.out is not None else ROOM_X * 0.6)
    y = MIDDLE + sign * (aside or 0.0) * scale
    turn = (place.angle or 0.0) if from_above else 0.0
    heading = "From above" if from_above else "From the side"
    return group(
        text(heading, PANEL_WIDTH / 2, 15, size=12, font_weight="bold", class_="placement-title"),
        *_source(entry),
        *_axis(x),
        *_tape(entry, x, y, known),
        *_aside(entry, aside, x, y, from_above),
        _microphone(x, y, turn, drawn_for_sure=known and aside is not None),
        *(_angle(entry, place, x, y) if from_above else ()),
        *(_scale_bar(scale) if known and scale else ()),
    )


def _source(entry: InputView) -> Iterable[Node]:
    yield node(
        "line", x1=SOURCE_X, y1=MIDDLE - 44, x2=SOURCE_X, y2=MIDDLE + 44, stroke="currentColor",
        stroke_width=4, stroke_linecap="round", class_="placement-source",
    )  # fmt: skip
    yield node("circle", cx=SOURCE_X, cy=MIDDLE, r=4, fill="currentColor", class_="placement-zero")
    name = entry.reference_point or "reference point not said"
    yield text(fit(name, 24), 6, MIDDLE + 62, size=11, text_anchor="start", class_="placement-name")


def _axis(x: float) -> Iterable[Node]:
    yield node(
        "line", x1=SOURCE_X, y1=MIDDLE, x2=max(x + 20, SOURCE_X + 60), y2=MIDDLE,
        stroke="currentColor", stroke_width=1, stroke_dasharray="1 4", class_="placement-axis",
    )  # fmt: skip


def _tape(entry: InputView, x: float, y: float, known: bool) -> Iterable[Node]:
    if known:
        yield node(
            "line", x1=SOURCE_X, y1=MIDDLE, x2=x, y2=y, stroke="currentColor", stroke_width=1.5,
            class_="placement-tape",
        )  # fmt: skip
    words = entry.distance_text or "distance not measured"
    yield text(words, PANEL_WIDTH / 2, 31, size=11, class_="placement-measure")


def _aside(
    entry: InputView, aside: float | None, x: float, y: float, from_above: bool
) -> Iterable[Node]:
    name = "offset" if from_above else "height"
    words = entry.offset_text if from_above else entry.height_text
    if aside:
        yield node(
            "line", x1=x, y1=MIDDLE, x2=x, y2=y, stroke="currentColor", stroke_width=1,
            stroke_dasharray="3 3", class_="placement-aside",
        )  # fmt: skip
    said = f"{name} {words}" if words else f"{name} not measured"
    yield text(said, PANEL_WIDTH / 2, 45, size=11, class_="placement-measure")


def _microphone(x: float, y: float, turn: float, *, drawn_for_sure: bool) -> Node:
    """Its capsule at (x, y), looking at the source; turned about the capsule by `turn` degrees."""
    dashes = None if drawn_for_sure else "3 2.5"
    return group(
        node("path", d=f"M{HEAD:g} -4.5h{BODY - HEAD:g}v9h{HEAD - BODY:g}z", fill="none",
             stroke="currentColor", stroke_width=1.5, stroke_dasharray=dashes),
        node("circle", cx=0, cy=0, r=HEAD, fill="none", stroke="currentColor", stroke_width=1.5,
             stroke_dasharray=dashes),
        transform=f"translate({x:.2f} {y:.2f}) rotate({turn:g})", class_="placement-mic",
    )  # fmt: skip


def _angle(entry: InputView, place: Placement, x: float, y: float) -> Iterable[Node]:
    words = f"angle {entry.angle_text}" if place.angle is not None else "angle not measured"
    yield text(words, PANEL_WIDTH / 2, 59, size=11, class_="placement-measure")
    if place.angle:
        turn = math.radians(place.angle)
        yield node(
            "line", x1=x, y1=y, x2=x - 46 * math.cos(turn), y2=y - 46 * math.sin(turn),
            stroke="currentColor", stroke_width=1, stroke_dasharray="5 3", class_="placement-aim",
        )  # fmt: skip


def _scale_bar(scale: float) -> Iterable[Node]:
    length = next((step for step in _STEPS if step * scale >= 30), _STEPS[-1])
    start, y = PANEL_WIDTH - 12 - length * scale, PANEL_HEIGHT - 10
    yield node(
        "path", d=f"M{start:.2f} {y - 4:g}v8m0 -4h{length * scale:.2f}m0 -4v8", fill="none",
        stroke="currentColor", stroke_width=1.25, class_="placement-scale",
    )  # fmt: skip
    words = f"{length * 1000:g} mm" if length < 1 else f"{length:g} m"
    yield text(words, start - 6, y + 4, size=11, text_anchor="end", class_="placement-measure")
