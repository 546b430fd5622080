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

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from core.languages.words import apart, inside, number
from rigs.drawing.svg import Node, fit, group, node, picture, text
from rigs.wording.views import InputView

PANEL_WIDTH, PANEL_HEIGHT = 224.0, 242.0
SOURCE_X, ROOM_X, ROOM_Y = 30.0, 148.0, 36.0  # of a panel: the source; what the scale may fill
MIDDLE = 88.0  # y of the reference point
BAR, FIRST_LINE, LINE = 164.0, 184.0, 14.0  # of the scale's bar and the words below
BODY, HEAD = 26.0, 7.0  # of the microphone, which is a sign and not to scale
AIM = 26.0  # of the line along which a turned microphone looks
_STEPS = (0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50)


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
    # A nanometre is left for rounding.
    if beside > distance + 1e-9:
        return Placement(
            None,
            up,
            right,
            angle,
            _(
                "Height and offset together are more than the distance. All three are measured "
                "from the same point, so height is not that above the floor."
            ),
        )
    return Placement(math.sqrt(max(0.0, distance**2 - beside**2)), up, right, angle)


def measured(entry: InputView) -> list[tuple[str, str]]:
    """What the sketch shows, as label and text; what was not measured says so."""
    return [
        (_("Measured from"), entry.reference_point or _("not said")),
        (_("Aimed at"), entry.aimed_at or _("not said")),
        (_("Distance"), entry.distance_text or _("not measured")),
        (_("Angle off axis"), entry.angle_text or _("not measured")),
        (_("Height"), entry.height_text or _("not measured")),
        (_("Sideways offset"), entry.offset_text or _("not measured")),
    ]


def alternative(entry: InputView) -> str:
    described = apart(f"{inside(label)} {words}" for label, words in measured(entry))
    problem = placed(entry).problem
    return f"{described}.{f' {problem}' if problem else ''}"


def placement_sketch(entry: InputView, *, decoration: bool = False) -> str:
    """Both views beside each other. Empty for an input without a microphone, such as a DI."""
    if not is_microphone(entry):
        return ""
    beside = group(_panel(entry, from_above=True), transform=f"translate({PANEL_WIDTH:g} 0)")
    return _sketch(entry, 2 * PANEL_WIDTH, [_panel(entry, from_above=False), beside], decoration)


def placement_views(entry: InputView) -> tuple[str, ...]:
    """From the side and from above, as two pictures that may stand under each other on a phone.
    Decoration: `measured` says the same. Empty like `placement_sketch`."""
    if not is_microphone(entry):
        return ()
    sides = (_panel(entry, from_above=above) for above in (False, True))
    return tuple(_sketch(entry, PANEL_WIDTH, [panel], True) for panel in sides)


def is_microphone(entry: InputView) -> bool:
    return entry.device is None or entry.device.form == "mic"


def _sketch(entry: InputView, width: float, panels: list[Node], decoration: bool) -> str:
    return picture(
        width,
        PANEL_HEIGHT,
        panels,
        title=_("Placement of {input}").format(input=entry.label),
        desc=alternative(entry),
        class_="drawing placement",
        decoration=decoration,
    ).render()


def _scale(place: Placement) -> float:
    """Drawn units to the metre, the same in both views."""
    across = max(abs(place.up or 0.0), abs(place.right or 0.0))
    # The view that has less room decides, so that both views have one scale and can be compared.
    limits = [
        room / size for room, size in ((ROOM_X, place.out or 0.0), (ROOM_Y, across)) if size > 1e-6
    ]
    return min(limits) if limits else 0.0


def _panel(entry: InputView, *, from_above: bool) -> Node:
    place = placed(entry)
    scale = _scale(place) if place.out is not None else 0.0
    aside = place.right if from_above else place.up
    # From above, right of the source (as one looks at it) is down the page.
    y = MIDDLE + (1.0 if from_above else -1.0) * (aside or 0.0) * scale
    x = SOURCE_X + (place.out * scale if place.out is not None else ROOM_X * 0.6)
    turn = (place.angle or 0.0) if from_above else 0.0
    heading = _("From above") if from_above else _("From the side")
    return group(
        text(heading, PANEL_WIDTH / 2, 15, size=12, font_weight="bold", class_="placement-title"),
        *_source(),
        *_axis(x),
        *(_tape(x, y) if scale else ()),
        *(_aside(x, y) if aside and scale else ()),
        *(_aim(turn, x, y) if turn else ()),
        _microphone(x, y, turn, certain=bool(scale) and aside is not None),
        *_words(entry, from_above),
        *(_scale_bar(scale) if scale else ()),
    )


def _source() -> Iterable[Node]:
    yield node(
        "line",
        x1=SOURCE_X,
        y1=MIDDLE - 42,
        x2=SOURCE_X,
        y2=MIDDLE + 42,
        stroke="currentColor",
        stroke_width=4,
        stroke_linecap="round",
        class_="placement-source",
    )
    yield node("circle", cx=SOURCE_X, cy=MIDDLE, r=4, fill="currentColor", class_="placement-zero")


def _words(entry: InputView, from_above: bool) -> Iterable[Node]:
    """What was measured, below the drawing, where nothing can lie across it."""
    rows = [
        (
            pgettext("before the point, as a label", "from"),
            entry.reference_point or _("a point not said"),
        ),
        (_("distance"), entry.distance_text),
    ]
    if from_above:
        rows += [(_("offset"), entry.offset_text), (_("angle"), entry.angle_text)]
    else:
        rows.append((_("height"), entry.height_text))
    for n, (name, words) in enumerate(rows):
        yield text(
            fit(f"{name} {words or _('not measured')}", 32),
            8,
            FIRST_LINE + LINE * n,
            size=11.5,
            text_anchor="start",
            class_="placement-measure",
        )


def _axis(x: float) -> Iterable[Node]:
    yield node(
        "line",
        x1=SOURCE_X,
        y1=MIDDLE,
        x2=max(x + 20, SOURCE_X + 60),
        y2=MIDDLE,
        stroke="currentColor",
        stroke_width=1,
        stroke_dasharray="1 4",
        class_="placement-axis",
    )


def _tape(x: float, y: float) -> Iterable[Node]:
    yield node(
        "line",
        x1=SOURCE_X,
        y1=MIDDLE,
        x2=x,
        y2=y,
        stroke="currentColor",
        stroke_width=1.5,
        class_="placement-tape",
    )


def _aside(x: float, y: float) -> Iterable[Node]:
    yield node(
        "line",
        x1=x,
        y1=MIDDLE,
        x2=x,
        y2=y,
        stroke="currentColor",
        stroke_width=1,
        stroke_dasharray="3 3",
        class_="placement-aside",
    )


def _microphone(x: float, y: float, turn: float, *, certain: bool) -> Node:
    """Its capsule at (x, y), looking at the source; turned about the capsule by `turn` degrees."""
    dashes = None if certain else "3 2.5"
    return group(
        node(
            "path",
            d=f"M{HEAD:g} -4.5h{BODY - HEAD:g}v9h{HEAD - BODY:g}z",
            fill="none",
            stroke="currentColor",
            stroke_width=1.5,
            stroke_dasharray=dashes,
        ),
        node(
            "circle",
            cx=0,
            cy=0,
            r=HEAD,
            fill="none",
            stroke="currentColor",
            stroke_width=1.5,
            stroke_dasharray=dashes,
        ),
        transform=f"translate({x:.2f} {y:.2f}) rotate({turn:g})",
        class_="placement-mic",
    )


def _aim(degrees: float, x: float, y: float) -> Iterable[Node]:
    """The line along which a turned microphone looks, from its capsule."""
    turn = math.radians(degrees)
    yield node(
        "line",
        x1=x,
        y1=y,
        x2=x - AIM * math.cos(turn),
        y2=y - AIM * math.sin(turn),
        stroke="currentColor",
        stroke_width=1,
        stroke_dasharray="5 3",
        class_="placement-aim",
    )


def _scale_bar(scale: float) -> Iterable[Node]:
    length = next((step for step in _STEPS if step * scale >= 30), _STEPS[-1])
    start, y = PANEL_WIDTH - 10 - length * scale, BAR
    yield node(
        "path",
        d=f"M{start:.2f} {y - 4:g}v8m0 -4h{length * scale:.2f}m0 -4v8",
        fill="none",
        stroke="currentColor",
        stroke_width=1.25,
        class_="placement-scale",
    )
    words = f"{length * 1000:g} mm" if length < 1 else f"{number(length)} m"
    yield text(words, start - 6, y + 4, size=11, text_anchor="end", class_="placement-measure")
