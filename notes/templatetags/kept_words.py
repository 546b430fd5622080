"""Filters for sentences that are kept in English: told in the language of the reader."""

from __future__ import annotations

from django import template

from notes.blind.on_record import outcome_told
from notes.causes.retold import cause_told, reading_told

register = template.Library()
register.filter(outcome_told)
register.filter(cause_told)
register.filter(reading_told)
