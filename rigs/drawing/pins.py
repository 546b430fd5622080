"""Pins over a picture. Pure.

The layer has no scale of its own: a pin stands at so many per cent of the picture's width and
height and is drawn in the page's pixels, so it keeps its spot and its size at any size of picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from core.units import plain
from rigs.describing import PinView
from rigs.drawing.svg import Attribute, Node, node

REACH = 22  # half of 44 pixels, the least that a finger hits
HEAD = 13  # radius of the disc with the number
RISE = 22  # from the spot up to the disc's centre
FLIP = Decimal("0.15")  # nearer to the top than this, the disc hangs below its spot


class Draft(NamedTuple):
    """The pin that is being placed, by fractions of the picture."""

    number: int
    x: Decimal
    y: Decimal


def layer(pins: Iterable[PinView], *, draft: Draft | None = None) -> str:
    """The pins as links to their lines of the legend (`#pin-3`), the draft on top."""
    marks = [_link(pin) for pin in pins]
    if draft is not None:
        marks.append(_spot(draft.number, draft.x, draft.y, class_="pin is-draft", data_draft=""))
    return node(
        "svg", *marks, xmlns="http://www.w3.org/2000/svg", class_="pin-layer", width="100%",
        height="100%", overflow="visible", focusable="false", role="group", aria_label="Pins",
    ).render()  # fmt: skip


def _link(pin: PinView) -> Node:
    name = f"Pin {pin.number}: {pin.legend}"
    mark = _spot(pin.number, pin.x, pin.y, class_="pin")
    return node("a", mark, href=f"#pin-{pin.number}", class_="pin-link", aria_label=name)


def _spot(number: int, x: Decimal, y: Decimal, **more: Attribute) -> Node:
    at = RISE if y < FLIP else -RISE
    return node(
        "svg",
        node("circle", cy=at / 2, r=REACH, class_="pin-reach"),
        node("path", d=f"M0 0L-7 {at / 2:g}H7Z", class_="pin-tip"),
        node("circle", cy=at, r=HEAD, class_="pin-head"),
        node("circle", r=2.5, class_="pin-point"),
        node("text", str(number), y=at, dy="0.36em", text_anchor="middle", class_="pin-number"),
        x=_per_cent(x), y=_per_cent(y), overflow="visible", **more,
    )  # fmt: skip


def _per_cent(fraction: Decimal) -> str:
    return f"{plain(fraction * 100)}%"
