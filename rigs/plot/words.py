"""Places and sizes in words, with the side always said. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.languages.sentences import Sentences
from core.units import format_length

# Said wherever left or right can be read off a drawing or a list.
SIDES = gettext_lazy(
    "Left and right are those of the stage, as the players see them: stage right is house left, "
    "stage left is house right."
)


class OfThing(Sentences):
    """What is said of a thing, one after the other behind its name."""

    WIDE = gettext_noop("{length} wide")
    DEEP = gettext_noop("{length} deep")
    HIGH = gettext_noop("{length} high")
    CENTRE = gettext_noop("on the centre line")
    RIGHT = gettext_noop("{length} stage right")
    LEFT = gettext_noop("{length} stage left")
    AT_EDGE = gettext_noop("at the front edge")
    UP = gettext_noop("{length} upstage")
    BEFORE_EDGE = gettext_noop("{length} in front of the edge")
    FACES = gettext_noop("faces {direction}")
    CHANGED = gettext_noop("changed")
    NO_PLACE = gettext_noop("no place")


def side_words(right: Decimal, unit: str) -> str:
    """“2 m stage left”, “on the centre line”."""
    if not right:
        return OfThing.CENTRE.said()
    words = OfThing.RIGHT if right > 0 else OfThing.LEFT
    return words.said(length=format_length(abs(right), unit))


def up_words(up: Decimal, unit: str) -> str:
    """“3 m upstage” of the front edge, “at the front edge”."""
    if not up:
        return OfThing.AT_EDGE.said()
    words = OfThing.UP if up > 0 else OfThing.BEFORE_EDGE
    return words.said(length=format_length(abs(up), unit))


def placed_words(thing: Any) -> str:
    """“2 m stage left, 3 m upstage”; empty where it has no place."""
    if thing.right_m is None or thing.up_m is None:
        return ""
    side = side_words(Decimal(thing.right_m), thing.right_unit)
    return _(", ").join([side, up_words(Decimal(thing.up_m), thing.up_unit)])


def size_words(thing: Any) -> str:
    """“3 m wide, 2 m deep, 40 cm high”, as far as it is known."""
    said: Sequence[tuple[str, OfThing]] = (
        ("width", OfThing.WIDE),
        ("depth", OfThing.DEEP),
        ("height", OfThing.HIGH),
    )
    return _(", ").join(
        word.said(length=format_length(Decimal(metres), getattr(thing, f"{name}_unit")))
        for name, word in said
        if (metres := getattr(thing, f"{name}_m", None)) is not None
    )
