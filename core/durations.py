"""Times as crews write them: 4:05 is four minutes and five seconds. Kept in whole seconds."""

from __future__ import annotations

import re
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from core.languages.typed import narrow, typed_as

LONGEST_S = 24 * 3600  # nothing in a set lasts longer
# ASCII: \d alone also takes digits of other scripts. Minutes may have three figures where there are
# no hours: 90:00 is an hour and a half.
_CLOCK = re.compile(r"(?:(?P<h>\d{1,2}):(?=\d{1,2}:))?(?P<m>\d{1,3}):(?P<s>[0-5]\d)", re.ASCII)
_MINUTE = typed_as(pgettext_lazy("typed after a number", "min|minute|minutes"))
_SECOND = typed_as(pgettext_lazy("typed after a number", "s|sec|second|seconds"))


@cache
def _minutes() -> re.Pattern[str]:
    """“3”, “2.5 min”."""
    return re.compile(
        rf"(?P<m>\d{{1,4}}(?:[.,]\d{{1,2}})?)\s*(?:{_MINUTE.pattern}|′)?", re.ASCII | re.IGNORECASE
    )


@cache
def _plain() -> re.Pattern[str]:
    """“45”, “45 s”, and “4 min 5 s”."""
    minutes = rf"(?:(?P<m>\d{{1,3}})\s*(?:{_MINUTE.pattern}|′)\s*)?"
    return re.compile(
        rf"{minutes}(?P<s>\d{{1,5}})\s*(?:{_SECOND.pattern}|″)?", re.ASCII | re.IGNORECASE
    )


def parse_duration(text: str) -> int:
    """Seconds of “4:05”, “1:02:30”, “45 s” or “45”; a bare number is in seconds.

    Raises ValueError, with words fit for a form, on anything else and on more than a day.
    """
    said = narrow(text).strip()
    match = _CLOCK.fullmatch(said) or _plain().fullmatch(said)
    if match is None:
        raise ValueError(_no_time(text))
    parts = match.groupdict(default="0")
    hours, minutes = int(parts.get("h", 0)), int(parts.get("m", 0))
    if hours and minutes > 59:
        raise ValueError(_no_time(text))
    seconds = 3600 * hours + 60 * minutes + int(parts["s"])
    if seconds > LONGEST_S:
        raise ValueError(_too_long(text))
    return seconds


def _no_time(text: str) -> str:
    return _("“{text}” is not a time. Write 4:05, or 45 s.").format(text=text)


def _too_long(text: str) -> str:
    return _("“{text}” is longer than a day.").format(text=text)


def parse_minutes(text: str) -> int:
    """Seconds of what is planned in minutes: “3”, “2.5 min”; “2:30” and “45 s” as they say.

    Raises ValueError, with words fit for a form, on anything else and on more than a day.
    """
    match = _minutes().fullmatch(narrow(text).strip())
    if match is None:
        try:
            return parse_duration(text)
        except ValueError:
            said = _("“{text}” is no time. Write 3 for three minutes, 2:30, or 45 s.")
            raise ValueError(said.format(text=text)) from None
    seconds = round(float(match["m"].replace(",", ".")) * 60)
    if seconds > LONGEST_S:
        raise ValueError(_too_long(text))
    return seconds


def format_minutes(seconds: int | None) -> str:
    """As `parse_minutes` reads it: “3” for whole minutes, else “2:30”; empty for None."""
    if seconds is None or seconds % 60:
        return format_duration(seconds)
    return str(seconds // 60)


def format_duration(seconds: int | None) -> str:
    """“4:05”; from an hour on “1:02:30”; empty for None."""
    if seconds is None:
        return ""
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
