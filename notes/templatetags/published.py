"""Filters for what published handovers keep as text: moments and days."""

from __future__ import annotations

from datetime import date, datetime

from django import template

register = template.Library()


@register.filter
def kept_moment(text: str | None) -> datetime | None:
    """{{ note.at|kept_moment|day }}: ISO 8601 as kept, in the time zone of the page."""
    from django.utils import timezone

    return timezone.localtime(datetime.fromisoformat(text)) if text else None


@register.filter
def kept_day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


@register.filter
def verdict(code: str) -> str:
    """{{ note.verdict|verdict }}: the code of a verdict, in words."""
    from notes.models import Note

    return str(Note.Verdict(code).label)
