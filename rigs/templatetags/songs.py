"""Words on what must happen between two songs."""

from __future__ import annotations

from django import template

from rigs.checks.between_words import need_words, way_out

register = template.Library()
register.filter("need", need_words)
register.filter("way_out", way_out)
