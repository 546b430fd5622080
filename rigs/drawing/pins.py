"""Pins over a picture. Pure.

The layer has no scale of its own: a pin stands at so many per cent of the picture's width and
height and is drawn in the page's pixels, so it keeps its spot and its size at any size of picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.units import plain
from rigs.drawing.pin_places import HEAD, NARROW, RISE, PinSpot, places, usual
from rigs.drawing.svg import Attribute, Node, node
from rigs.wording import PhotoView, PinView

REACH = 22  # half of 44 pixels, the least that a finger hits


class PinDraft(NamedTuple):
    """The pin that is being placed, by fractions of the picture."""

    number: int
    x: Decimal
    y: Decimal


def layer(
    photo: PhotoView, pins: Iterable[PinView], *, draft: PinDraft | None = None, prefix: str = ""
) -> str:
    """The pins as links to their lines of the legend (`#pin-3`), the draft on top.

    Discs that would hide each other on a phone stand apart: `photo` has the picture's shape.
    `prefix` keeps the lines of several pictures on one page apart (`#photo-1-pin-3`).
    """
    shown = list(pins)
    ratio = photo.height / photo.width if photo.width else 1.0
    stand = places([(pin.x, pin.y) for pin in shown], NARROW, NARROW * ratio)
    placed = list(zip(shown, stand, strict=True))
    marks = [_foot(pin.x, pin.y, place) for pin, place in placed]  # below every disc
    marks += [_link(pin, place, prefix) for pin, place in placed]
    if draft is not None:
        place = usual(draft.y)
        drawn = (_tip(place), *_disc(draft.number, draft.y, place))
        marks.append(_at(draft.x, draft.y, *drawn, class_="pin is-draft", data_draft=""))
    return node(
        "svg",
        *marks,
        xmlns="http://www.w3.org/2000/svg",
        class_="pin-layer",
        width="100%",
        height="100%",
        overflow="visible",
        focusable="false",
        role="group",
        aria_label=_("Pins"),
    ).render()


def _foot(x: Decimal, y: Decimal, place: PinSpot) -> Node:
    return _at(x, y, _tip(place), class_="pin-foot", aria_hidden="true")


def _link(pin: PinView, place: PinSpot, prefix: str) -> Node:
    name = _("Pin {number}: {legend}").format(number=pin.number, legend=pin.legend)
    mark = _at(pin.x, pin.y, *_disc(pin.number, pin.y, place), class_="pin")
    return node("a", mark, href=f"#{prefix}pin-{pin.number}", class_="pin-link", aria_label=name)


def _at(x: Decimal, y: Decimal, *marks: Node, **more: Attribute) -> Node:
    return node("svg", *marks, x=_per_cent(x), y=_per_cent(y), overflow="visible", **more)


def _tip(place: PinSpot) -> Node:
    """From the spot to the disc; static/rigs/js/pins.js draws that of a pin in hand alike."""
    broad = 7 if place.rise == RISE else 3
    half = RISE / 2 if place.rise == RISE else place.rise - HEAD / 2
    turned = {} if place.angle in (0, 180) else {"transform": f"rotate({place.angle:g})"}
    foot = half if place.angle == 180 else -half
    return node("path", d=f"M0 0L{-broad} {foot:g}H{broad}Z", class_="pin-tip", **turned)


def _disc(number: int, y: Decimal, place: PinSpot) -> tuple[Node, ...]:
    """The disc with its number, the spot, and what a finger hits: of pins that crowd each other
    the disc alone, so that it is the one that was meant."""
    dx, dy = (round(length, 2) or None for length in place.offset)
    reach: dict[str, Attribute] = {"cy": (dy or 0) / 2, "r": REACH}
    if place != usual(y):
        reach = {"cx": dx, "cy": dy, "r": HEAD + 2}
    return (
        node("circle", class_="pin-reach", **reach),
        node("circle", cx=dx, cy=dy, r=HEAD, class_="pin-head"),
        node("circle", r=2.5, class_="pin-point"),
        node(
            "text", str(number), x=dx, y=dy, dy="0.36em", text_anchor="middle", class_="pin-number"
        ),
    )


def _per_cent(fraction: Decimal) -> str:
    return f"{plain(fraction * 100)}%"
