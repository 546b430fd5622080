"""Places and sizes in words, with the side always said. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.units import format_length

# Said wherever left or right can be read off a drawing or a list.
SIDES = gettext_lazy(
    "Left and right are those of the stage, as the players see them: stage right is house left, "
    "stage left is house right."
)


def side_words(right: Decimal, unit: str) -> str:
    """“2 m stage left”, “on the centre line”."""
    if not right:
        return _("on the centre line")
    words = _("{length} stage right") if right > 0 else _("{length} stage left")
    return words.format(length=format_length(abs(right), unit))


def up_words(up: Decimal, unit: str) -> str:
    """“3 m upstage” of the front edge, “at the front edge”."""
    if not up:
        return _("at the front edge")
    words = _("{length} upstage") if up > 0 else _("{length} in front of the edge")
    return words.format(length=format_length(abs(up), unit))


def placed_words(thing: Any) -> str:
    """“2 m stage left, 3 m upstage”; empty where it has no place."""
    if thing.right_m is None or thing.up_m is None:
        return ""
    side = side_words(Decimal(thing.right_m), thing.right_unit)
    return _(", ").join([side, up_words(Decimal(thing.up_m), thing.up_unit)])


def size_words(thing: Any) -> str:
    """“3 m wide, 2 m deep, 40 cm high”, as far as it is known."""
    said: Sequence[tuple[str, str]] = (
        ("width", _("{length} wide")),
        ("depth", _("{length} deep")),
        ("height", _("{length} high")),
    )
    return _(", ").join(
        word.format(length=format_length(Decimal(metres), getattr(thing, f"{name}_unit")))
        for name, word in said
        if (metres := getattr(thing, f"{name}_m", None)) is not None
    )
