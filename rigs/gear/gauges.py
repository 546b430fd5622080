"""Gauges of a string set as strings are sold: “10 13 17 26w 36w 46w” or “0.25 0.33 0.43 mm”. Pure.

Numbers of 1 and more are thousandths of an inch and numbers below 1 inches (.046), unless the line
ends in mm. A w behind a number is a wound string. One inch is exactly 25.4 mm (core.units).
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.units import plain

# From the thinnest plain strings to the thickest of basses with a low B, and some room. Common
# practice, no source.
THINNEST, THICKEST = Decimal(5), Decimal(200)  # thousandths of an inch
MOST = 24  # strings of one set
MM_PER_THOU = Decimal("0.0254")
METRES_PER_INCH = Decimal("0.0254")
_ONE = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*([wp]?)", re.IGNORECASE)
_END = re.compile(r"\s*(mm|in|inch|inches|\")\s*$", re.IGNORECASE)
# A comma parts two gauges (“10, 13” or “10,13”), but within “0,25” or “9,5” it is a decimal comma.
_BETWEEN = re.compile(r"[\s;/|–-]+|,\s+|(?<=[1-9]\d),(?=\d{2})")


class Gauge(NamedTuple):
    """One string: its diameter in metres, and whether it is wound."""

    metres: Decimal
    wound: bool = False


class Gauges(NamedTuple):
    """The gauges of a set in the order in which they were written, and whether that was in mm."""

    strings: tuple[Gauge, ...]
    in_mm: bool = False

    @property
    def text(self) -> str:
        """The one spelling that history keeps."""
        shown = [f"{plain(_shown(g, self.in_mm))}{'w' if g.wound else ''}" for g in self.strings]
        return f"{' '.join(shown)} mm" if self.in_mm else " ".join(shown)


def _shown(gauge: Gauge, in_mm: bool) -> Decimal:
    return gauge.metres * 1000 if in_mm else gauge.metres / METRES_PER_INCH * 1000


def parse_gauges(text: str) -> Gauges:
    """Read the gauges of a set. Raises ValueError, with words fit for a form, if they are none."""
    end = _END.search(text)
    in_mm = bool(end and end[1].casefold() == "mm")
    body = text[: end.start()] if end else text
    words = [word for word in _BETWEEN.split(body.strip()) if word]
    if not words:
        raise ValueError(
            _("Write the gauges in order: 10 13 17 26w 36w 46w, or 0.25 0.33 0.43 mm.")
        )
    if len(words) > MOST:
        raise ValueError(_("{n} strings are more than one set has.").format(n=len(words)))
    return Gauges(tuple(_gauge(word, in_mm) for word in words), in_mm)


def _gauge(word: str, in_mm: bool) -> Gauge:
    match = _ONE.fullmatch(word)
    if match is None:
        raise ValueError(
            _(
                "“{word}” is no gauge. Write thousandths of an inch (10, 46w) or, with mm "
                "at the end, millimetres."
            ).format(word=word)
        )
    size = Decimal(match[1].replace(",", "."))
    # The limits are held against thousandths whatever was written, so that they stand once.
    thou = size / MM_PER_THOU if in_mm else size if size >= 1 else size * 1000
    if not THINNEST <= thou <= THICKEST:
        if in_mm:
            said = _("A string of {size} mm cannot be right.")
        else:
            said = _("A string of {size} thousandths of an inch cannot be right.")
        raise ValueError(said.format(size=word))
    metres = size / 1000 if in_mm else thou / 1000 * METRES_PER_INCH
    return Gauge(metres, match[2].casefold() == "w")
