"""Places in a sound as people write them: “72.5”, “1:12.5”, “1:02:03”. Pure."""

from __future__ import annotations

import re
from decimal import Decimal

from django.utils.translation import gettext as _

_TIME = re.compile(r"(?:(?:(\d{1,2}):)?(\d{1,3}):)?(\d{1,6}(?:[.,]\d{1,6})?)", re.ASCII)


def parse_time(text: str) -> Decimal:
    """Seconds. Raises ValueError, in words, for what is no time."""
    match = _TIME.fullmatch(text.strip())
    if match is None:
        raise ValueError(_("Write seconds, or minutes and seconds: 72.5 or 1:12.5."))
    hours, minutes, seconds = match.groups()
    within = Decimal(seconds.replace(",", "."))
    if minutes is not None and within >= 60:
        raise ValueError(_("After the minutes, seconds go up to 59."))
    return Decimal(hours or 0) * 3600 + Decimal(minutes or 0) * 60 + within


def format_time(seconds: Decimal | float) -> str:
    """“0:07.5”, “1:02:03”; to the hundredth of a second."""
    hundredths = round(Decimal(seconds) * 100)
    whole, rest = divmod(hundredths, 100)
    minutes, left = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    part = f".{rest:02d}".rstrip("0").rstrip(".")
    head = f"{hours}:{minutes:02d}" if hours else f"{minutes}"
    return f"{head}:{left:02d}{part}"
