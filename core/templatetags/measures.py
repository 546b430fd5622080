"""Template filters that show SI values in the units crews use."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.template import Context

from core.durations import format_duration
from core.languages import words
from core.units import (
    CELSIUS,
    format_both,
    format_length,
    format_ohms,
    format_temperature,
    temperatures_in,
)

register = template.Library()


@register.simple_tag
def length(metres: Decimal | None, unit: str, both: bool = True) -> str:
    """{% length input.distance_m input.distance_unit %} → “35 mm (1.4 in)”; empty if unmeasured."""
    if metres is None:
        return ""
    return format_both(metres, unit) if both else format_length(metres, unit)


@register.simple_tag(takes_context=True)
def temperature(context: Context, celsius: Any) -> str:
    """{% temperature show.temperature_c %} → “21.5 °C”, or “70.7 °F” for who prefers that."""
    if celsius is None or celsius == "":
        return ""
    # By way of text: a float would bring its binary digits along.
    return format_temperature(Decimal(str(celsius)), _scale(context))


@register.simple_tag(takes_context=True)
def temperatures(context: Context, sentence: str) -> str:
    """{% temperatures finding.why %}: a sentence of ours, in the scale of the reader."""
    return temperatures_in(sentence, _scale(context))


def _scale(context: Context) -> str:
    """°C for whoever has no account, and where there is no reader, as in a mail."""
    user = getattr(context.get("request"), "user", None)
    return getattr(user, "temperature_scale", CELSIUS)


@register.filter
def number(value: Any) -> str:
    """A Decimal without trailing zeros, as the language of the reader writes it."""
    if value is None or value == "":
        return ""
    return words.number(Decimal(str(value)))


@register.filter
def ohms(value: Any) -> str:
    """{{ device.impedance_ohm|ohms }} → “140 kΩ”."""
    return "" if value is None or value == "" else format_ohms(Decimal(str(value)))


@register.filter
def minutes(seconds: int | None) -> str:
    """{{ song.length_s|minutes }} → “4:05”; empty if not known."""
    return format_duration(seconds)
