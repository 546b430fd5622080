"""What a rating plate says: “100–240 V, 50/60 Hz, 1.6 A”. Pure.

A hyphen between two figures is a range, a solidus alternatives, as with a selector (IEC 62368-1,
the marking of rated voltage and frequency; from memory).
"""

from __future__ import annotations

import re
from typing import NamedTuple

_NUMBER = r"\d+(?:[.,]\d+)?"
_JOIN = r"\s*(?:[-–—]|to|/|or)\s*"
_UNIT = r"kVA|VA(?!C)|V|mA|A|kW|W|Hz"
# Figures that share a unit, which may also stand behind each: “100 V – 240 V”.
_STATED = re.compile(
    rf"({_NUMBER}(?:\s*(?:V|Hz|A)?{_JOIN}{_NUMBER})*)\s*({_UNIT})(\s?[AD]C)?(?![A-Za-z])",
    re.IGNORECASE,
)
_ALTERNATIVES = re.compile(r"/|or", re.IGNORECASE)
_RANGE = re.compile(rf"({_NUMBER})")
# What follows is about another thing: “fuse T 1.6 A 250 V”.
_FUSE = re.compile(r"\bfuses?\b.*", re.IGNORECASE | re.DOTALL)
_TIMES = {"kva": 1000.0, "kw": 1000.0, "ma": 0.001}


class Span(NamedTuple):
    """From `low` to `high`, which are one figure where the plate has one."""

    low: float
    high: float

    def has(self, figure: float, tolerance: float = 0.0) -> bool:
        return self.low * (1 - tolerance) <= figure <= self.high * (1 + tolerance)

    def __str__(self) -> str:
        return f"{self.low:g}" if self.low == self.high else f"{self.low:g}–{self.high:g}"


class Rating(NamedTuple):
    """Volts, Hz, A, W and VA of a plate; empty or None for each that it does not say.

    Several spans of volts are alternatives. Of several figures of A, W or VA the largest is kept.
    """

    volts: tuple[Span, ...] = ()
    hz: tuple[Span, ...] = ()
    amps: float | None = None
    watts: float | None = None
    volt_amps: float | None = None

    @property
    def has_selector(self) -> bool:
        return len(self.volts) > 1


def read_rating(words: str) -> Rating:
    """Read a plate. Direct current is no mains, and what stands behind “fuse” is not read."""
    found: dict[str, tuple[Span, ...]] = {}
    for figures, unit, current in _STATED.findall(_FUSE.sub("", words)):
        key = unit.casefold()
        if current.strip().upper() == "DC":
            continue
        spans = tuple(_span(part, _TIMES.get(key, 1.0)) for part in _ALTERNATIVES.split(figures))
        of_one_kind = {"ma": "a", "kw": "w", "kva": "va"}.get(key, key)
        found[of_one_kind] = found.get(of_one_kind, ()) + spans
    return Rating(
        found.get("v", ()),
        found.get("hz", ()),
        _largest(found.get("a", ())),
        _largest(found.get("w", ())),
        _largest(found.get("va", ())),
    )


def _span(text: str, times: float) -> Span:
    figures = [float(each.replace(",", ".")) * times for each in _RANGE.findall(text)]
    return Span(min(figures), max(figures))


def _largest(spans: tuple[Span, ...]) -> float | None:
    return max((span.high for span in spans), default=None)
