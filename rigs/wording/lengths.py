"""Lengths with the unit they were written in. Views keep both; words are made when they are shown.

Pure. `core.units.Length` is metres and the unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from core.units import Length, format_both, format_length, plain


def length_in(stated: Any, name: str) -> Length | None:
    """The length `name` of a record or view that has `…_m` and `…_unit`; None if not stated."""
    metres = getattr(stated, f"{name}_m")
    return None if metres is None else Length(metres, getattr(stated, f"{name}_unit"))


def length_data(length: Length | None) -> dict[str, str] | None:
    """For JSON: metres as decimal text, because a float would be another number."""
    return None if length is None else {"m": plain(length.metres), "unit": length.unit}


def length_of(data: Mapping[str, str] | None) -> Length | None:
    """What `length_data` wrote. Raises KeyError and ArithmeticError for anything else."""
    return None if data is None else Length(Decimal(data["m"]), data["unit"])


def length_text(length: Length | None, *, both: bool = True) -> str:
    """“35 mm (1.4 in)”, or “35 mm” without the other system; empty for none."""
    if length is None:
        return ""
    return format_both(*length) if both else format_length(*length).replace("-", "−")


def signed_length(length: Length | None, positive: str, negative: str, *, both: bool = True) -> str:
    """A length with the side it lies on: “5 cm (2 in) left”; a length of nothing lies on none."""
    if length is None or not length.metres:
        return length_text(length, both=both)
    words = length_text(Length(abs(length.metres), length.unit), both=both)
    return f"{words} {positive if length.metres > 0 else negative}"
