"""The filter for days until something starts: {{ days|in_days }} → “tomorrow”, “in 5 days”."""

from __future__ import annotations

from django import template

from notes.handover.to_dos import in_days

register = template.Library()
register.filter(in_days)
