"""Days and moments as each language writes them: builtin filters of all templates, and functions.

Figures of months and days follow common usage of each language; the names of months are Django's.
"""

from __future__ import annotations

from datetime import date, datetime

from django import template
from django.utils import dateformat, timezone, translation

register = template.Library()

# Formats of Django's date filter, by the first part of a language's code.
_DAY = {"de": "j. N Y", "fr": "j N Y", "ja": "Y年n月j日"}
_LONG_DAY = {"de": "j. F Y", "es": r"j \d\e F \d\e Y", "ja": "Y年n月j日"}
_SHORT_DAY = {"de": "j. N", "fr": "j N", "ja": "n月j日"}
_WEEKDAY = {"de": "D j. N Y", "fr": "D j N Y", "ja": "Y年n月j日(D)"}
_LONG_WEEKDAY = {"de": "l, j. F Y", "es": r"l j \d\e F \d\e Y", "ja": "Y年n月j日 l"}
_MONTH = {"de": "N Y", "fr": "N Y", "ja": "Y年n月"}
_TIME = "H:i"
# What stands between a day and its time.
_BETWEEN = {"ja": " "}


def _language() -> str:
    return (translation.get_language() or "").split("-")[0]


def _in(formats: dict[str, str], otherwise: str) -> str:
    return formats.get(_language(), otherwise)


def _with_time(day: str, time: str = _TIME) -> str:
    return f"{day}{_in(_BETWEEN, ', ')}{time}"


def _written(at: date | None, shape: str) -> str:
    if at is None or at == "":
        return ""
    if isinstance(at, datetime) and timezone.is_aware(at):
        at = timezone.localtime(at)
    if _language() == "fr" and at.day == 1:
        # “1er décembre”: the first alone is an ordinal (Imprimerie nationale; from memory).
        shape = shape.replace("j", r"j\e\r", 1)
    words = dateformat.format(at, shape)
    # Months are no proper names there (Real Academia Española; from memory).
    return words.lower() if _language() == "es" else words


@register.filter(expects_localtime=True)
def day(at: date | None) -> str:
    """“3 Dec 2026”."""
    return _written(at, _in(_DAY, "j M Y"))


@register.filter(expects_localtime=True)
def long_day(at: date | None) -> str:
    """“3 December 2026”."""
    return _written(at, _in(_LONG_DAY, "j F Y"))


@register.filter(expects_localtime=True)
def short_day(at: date | None) -> str:
    """“3 Dec”, where the year is known."""
    return _written(at, _in(_SHORT_DAY, "j M"))


@register.filter(expects_localtime=True)
def weekday(at: date | None) -> str:
    """“Thu 3 Dec 2026”."""
    return _written(at, _in(_WEEKDAY, "D j M Y"))


@register.filter(expects_localtime=True)
def long_weekday(at: date | None) -> str:
    """“Thursday 3 December 2026”."""
    return _written(at, _in(_LONG_WEEKDAY, "l j F Y"))


@register.filter(expects_localtime=True)
def month(at: date | None) -> str:
    """“Dec 2026”."""
    return _written(at, _in(_MONTH, "M Y"))


@register.filter(expects_localtime=True)
def moment(at: datetime | None) -> str:
    """“3 Dec 2026, 14:05”."""
    return _written(at, _with_time(_in(_DAY, "j M Y")))


@register.filter(expects_localtime=True)
def long_moment(at: datetime | None) -> str:
    """“3 December 2026, 14:05”."""
    return _written(at, _with_time(_in(_LONG_DAY, "j F Y")))


@register.filter(expects_localtime=True)
def short_moment(at: datetime | None) -> str:
    """“3 Dec, 14:05”, where the year is known."""
    return _written(at, _with_time(_in(_SHORT_DAY, "j M")))


@register.filter(expects_localtime=True)
def exact_moment(at: datetime | None) -> str:
    """“3 Dec 2026, 14:05:09”."""
    return _written(at, _with_time(_in(_DAY, "j M Y"), f"{_TIME}:s"))
