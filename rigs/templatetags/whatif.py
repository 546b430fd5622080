"""Filters for numbers that were worked out: decibels and milliseconds with a true minus sign."""

from __future__ import annotations

import math

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from core.languages import words

register = template.Library()


@register.filter
def signed(value: float | None, places: int = 1) -> str:
    """{{ difference|signed }}: “+1.2”, “−4.1”, “0.0”; “nothing left” for no level at all."""
    if value is None:
        return ""
    if math.isinf(value):
        return _("nothing left")
    return words.signed(value, places)


@register.filter
def taken(loss: float) -> str:
    """{{ loss|taken }}: a loss as a level, “−4.1”."""
    return signed(-loss)


@register.filter
def drawn(svg: str) -> SafeString:
    """{{ answer.drawing|drawn }}: rigs.drawing.svg escapes every word that it writes."""
    return mark_safe(svg)  # noqa: S308
