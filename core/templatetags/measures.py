"""Template filters that show SI values in the units crews use."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template

from core.durations import format_duration
from core.units import format_both, format_length, format_ohms, plain

register = template.Library()


@register.simple_tag
def length(metres: Decimal | None, unit: str, both: bool = True) -> str:
    """{% length input.distance_m input.distance_unit %} → “35 mm (1.4 in)”; empty if unmeasured."""
    if metres is None:
        return ""
    return format_both(metres, unit) if both else format_length(metres, unit)


@register.filter
def number(value: Any) -> str:
    """A Decimal without trailing zeros; a true minus sign for the eye."""
    if value is None or value == "":
        return ""
    return plain(Decimal(str(value))).replace("-", "−")


@register.filter
def ohms(value: Any) -> str:
    """{{ device.impedance_ohm|ohms }} → “140 kΩ”."""
    return "" if value is None or value == "" else format_ohms(Decimal(str(value)))


@register.filter
def minutes(seconds: int | None) -> str:
    """{{ song.length_s|minutes }} → “4:05”; empty if not known."""
    return format_duration(seconds)
