"""Cells of the input list as they are also exported."""

from __future__ import annotations

from django import template

from rigs.lists.columns import show
from rigs.models import Input

register = template.Library()


@register.filter
def cell(entry: Input, key: str) -> str:
    """{{ entry|cell:"pan" }} → “L60”."""
    return show(key, entry)
