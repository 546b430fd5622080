"""The timeline as one picture: time runs down, one lane for each kind of record.

Down, because a phone is held upright. A mark is a target for a thumb (44 units, drawn about one to
one on a phone); what lies nearer together is one mark with a number in it, and leads into that
stretch of time. Shapes tell the kinds apart, so that it reads without colour.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from notes.timeline.labels import LANES
from notes.timeline.marks import MarkKind, Span, Spot
from notes.timeline.ticks import ticks
from rigs.drawing.svg import Node, fit, group, node, picture, text

WIDTH, HEIGHT = 360.0, 700.0
HEAD, LEFT, FOOT = 30.0, 64.0, 26.0
LANE = (WIDTH - LEFT) / len(MarkKind)
TARGET = 44.0


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of time with a name: a leg."""

    name: str
    span: Span


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """A spot with the words a reader hears, and where it leads."""

    spot: Spot
    words: str
    url: str


def draw(span: Span, drawn: Sequence[DrawnMark], bands: Sequence[Band], *, title: str) -> str:
    """The picture as SVG text. `span`'s ends are in the time zone the dates are to be in."""
    children = [
        *(_band(band, span) for band in bands if span.meets(band.span.start, band.span.end)),
        *(_tick(tick.at, tick.words, span) for tick in ticks(span)),
        *_lanes(),
        *(_spot(each) for each in drawn),
    ]
    return picture(
        WIDTH,
        HEAD + HEIGHT + FOOT,
        children,
        title=title,
        desc=gettext("The same records stand in the table below."),
        class_="drawing timeline",
        role="group",
    ).render()


def place_of(at: datetime, span: Span) -> float:
    return round(HEAD + span.share(at) * HEIGHT, 1)


def lane_of(kind: MarkKind) -> float:
    """The middle of a kind's lane."""
    return round(LEFT + (list(MarkKind).index(kind) + 0.5) * LANE, 1)


def _lanes() -> list[Node]:
    return [
        group(
            node(
                "line",
                x1=lane_of(kind),
                x2=lane_of(kind),
                y1=HEAD,
                y2=HEAD + HEIGHT,
                stroke="currentColor",
                stroke_width=1,
                class_="timeline-lane",
            ),
            text(str(LANES[kind]), lane_of(kind), 16, size=12, class_="timeline-head"),
        )
        for kind in MarkKind
    ]


def _tick(at: datetime, words: str, span: Span) -> Node:
    y = place_of(at, span)
    # A day and an hour side by side would run out of the margin: “12 Nov” above “18:00”.
    day, _, hour = words.rpartition(" ")
    lines = [day, hour] if day and ":" in hour else [words]
    above = 6.0 * (len(lines) - 1)
    return group(
        node(
            "line",
            x1=LEFT - 4,
            x2=WIDTH,
            y1=y,
            y2=y,
            stroke="currentColor",
            stroke_width=1,
            class_="timeline-rule",
        ),
        *(
            text(
                line,
                LEFT - 8,
                round(y + 4 - above + 12 * n, 1),
                size=11.5,
                text_anchor="end",
                class_="timeline-date",
            )
            for n, line in enumerate(lines)
        ),
    )


def _band(band: Band, span: Span) -> Node:
    top, bottom = place_of(band.span.start, span), place_of(band.span.end, span)
    return group(
        node("title", band.name),
        node(
            "rect",
            x=LEFT,
            y=top,
            width=WIDTH - LEFT,
            height=round(bottom - top, 1),
            fill="currentColor",
            class_="timeline-leg",
        ),
        text(
            fit(band.name, 40),
            WIDTH - 6,
            top + 14,
            size=11.5,
            text_anchor="end",
            class_="timeline-leg-name",
        ),
    )


def _spot(drawn: DrawnMark) -> Node:
    spot = drawn.spot
    x, y = lane_of(spot.kind), round(HEAD + spot.at, 1)
    count = spot.count
    inside = [
        node(
            "rect",
            x=x - TARGET / 2,
            y=y - TARGET / 2,
            width=TARGET,
            height=TARGET,
            fill="none",
            class_="timeline-target",
        ),
        # Larger where a number has to fit in.
        _SHAPES[spot.kind](x, y, 9.0 if count == 1 else 15.0),
    ]
    if count > 1:
        inside.append(
            text(str(count), x, y + 4, size=12 if count < 1000 else 10, class_="timeline-count")
        )
    return node(
        "a",
        node("title", drawn.words),
        *inside,
        href=drawn.url,
        aria_label=drawn.words,
        class_=f"timeline-mark is-{spot.kind}",
    )


def _disc(x: float, y: float, r: float) -> Node:
    return node(
        "circle", cx=x, cy=y, r=r, class_="timeline-shape", stroke="currentColor", fill="#fff"
    )


def _square(x: float, y: float, r: float) -> Node:
    side = round(1.8 * r, 1)
    return node(
        "rect",
        x=round(x - side / 2, 1),
        y=round(y - side / 2, 1),
        width=side,
        height=side,
        rx=2,
        class_="timeline-shape",
        stroke="currentColor",
        fill="#fff",
    )


def _outline(path: str) -> Node:
    return node(
        "path",
        d=path,
        class_="timeline-shape",
        stroke="currentColor",
        fill="#fff",
        stroke_linejoin="round",
    )


def _diamond(x: float, y: float, r: float) -> Node:
    h = round(1.25 * r, 1)
    return _outline(f"M{x:g} {y - h:g}l{h:g} {h:g}l{-h:g} {h:g}l{-h:g} {-h:g}z")


def _bar(x: float, y: float, r: float) -> Node:
    width, height = round(2.6 * r, 1), round(1.3 * r, 1)
    return node(
        "rect",
        x=round(x - width / 2, 1),
        y=round(y - height / 2, 1),
        width=width,
        height=height,
        rx=height / 2,
        class_="timeline-shape",
        stroke="currentColor",
        fill="#fff",
    )


def _seal(x: float, y: float, r: float) -> Node:
    """Six-sided, flat above and below."""
    w, h = round(1.15 * r, 1), round(r, 1)
    half = round(w / 2, 1)
    return _outline(
        f"M{x - half:g} {y - h:g}h{2 * half:g}l{w - half:g} {h:g}l{half - w:g} {h:g}"
        f"h{-2 * half:g}l{half - w:g} {-h:g}z"
    )


_SHAPES: dict[MarkKind, Callable[[float, float, float], Node]] = {
    MarkKind.SHOW: _bar,
    MarkKind.CHANGE: _disc,
    MarkKind.NOTE: _square,
    MarkKind.TRIAL: _diamond,
    MarkKind.SIGN_OFF: _seal,
}
