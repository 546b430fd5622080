"""Pins over a picture. Pure.

The layer has no scale of its own: a pin stands at so many per cent of the picture's width and
height and is drawn in the page's pixels, so it keeps its spot and its size at any size of picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from core.units import plain
from rigs.describing import PhotoView, PinView
from rigs.drawing.pin_places import HEAD, NARROW, Place, places, usual
from rigs.drawing.svg import Attribute, Node, node

REACH = 22  # half of 44 pixels, the least that a finger hits


class Draft(NamedTuple):
    """The pin that is being placed, by fractions of the picture."""

    number: int
    x: Decimal
    y: Decimal


def layer(photo: PhotoView, pins: Iterable[PinView], *, draft: Draft | None = None) -> str:
    """The pins as links to their lines of the legend (`#pin-3`), the draft on top.

    Discs that would hide each other on a phone stand apart: `photo` has the picture's shape.
    """
    shown = list(pins)
    ratio = photo.height / photo.width if photo.width else 1.0
    stand = places([(pin.x, pin.y) for pin in shown], NARROW, NARROW * ratio)
    marks = [_link(pin, place) for pin, place in zip(shown, stand, strict=True)]
    if draft is not None:
        place = usual(draft.y)
        marks.append(
            _spot(draft.number, draft.x, draft.y, place, class_="pin is-draft", data_draft="")
        )
    return node(
        "svg", *marks, xmlns="http://www.w3.org/2000/svg", class_="pin-layer", width="100%",
        height="100%", overflow="visible", focusable="false", role="group", aria_label="Pins",
    ).render()  # fmt: skip


def _link(pin: PinView, place: Place) -> Node:
    name = f"Pin {pin.number}: {pin.legend}"
    mark = _spot(pin.number, pin.x, pin.y, place, class_="pin")
    return node("a", mark, href=f"#pin-{pin.number}", class_="pin-link", aria_label=name)


def _spot(number: int, x: Decimal, y: Decimal, place: Place, **more: Attribute) -> Node:
    dx, dy = (round(length, 2) for length in place.offset)
    # Of pins that crowd each other a finger must hit the disc it means.
    crowded = place != usual(y)
    turned = {"transform": f"rotate({round(place.angle, 1):g})"} if dx else {}
    tip = round(place.rise if dy > 0 and not dx else -place.rise, 2) / 2
    return node(
        "svg",
        node("circle", cx=dx if crowded else None, cy=dy if crowded else dy / 2,
             r=HEAD + 2 if crowded else REACH, class_="pin-reach"),
        node("path", d=f"M0 0L-7 {tip:g}H7Z", class_="pin-tip", **turned),
        node("circle", cx=dx or None, cy=dy, r=HEAD, class_="pin-head"),
        node("circle", r=2.5, class_="pin-point"),
        node("text", str(number), x=dx or None, y=dy, dy="0.36em", text_anchor="middle",
             class_="pin-number"),
        x=_per_cent(x), y=_per_cent(y), overflow="visible", **more,
    )  # fmt: skip


def _per_cent(fraction: Decimal) -> str:
    return f"{plain(fraction * 100)}%"
