"""Whether a unit can be plugged into the mains of a house, what it takes there, and which
transformer it would need. Pure.

Sums for asking a qualified person the right question; no wiring plan. Inrush is not in them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from rigs.mains.rating import Rating, Span
from rigs.signal.mains import MainsLoad, total_current

# Nominal volts and what gear made for them is to bear: IEC 60038 lets a supply be 10 % above or
# below its nominal voltage; from memory.
TOLERANCE = 0.1
# What a transformer is chosen larger by than what it feeds. Common practice, no source.
HEADROOM = 1.5


class House(NamedTuple):
    """Volts and hertz of a house; None where nobody noted them."""

    volts: float | None = None
    hz: float | None = None


class Fit(StrEnum):
    """How a unit stands to the house; the value is what a page says."""

    RUNS = "runs here as it is"
    NEAR = "runs here, though its plate says other volts"
    SELECTOR = "set its selector"
    TRANSFORMER = "needs a transformer"
    UNKNOWN = "not known"


class Load(NamedTuple):
    """What a unit takes: its plate, and watts where they are noted beside it."""

    rating: Rating
    watts: float | None = None


class AtHouse(NamedTuple):
    """A unit at a house. `span` are its volts that fit or come nearest; `amps` what it takes from
    the house, `transformer_va` the least transformer; None where that cannot be said. `hz_differs`
    where the plate states frequencies and the house has another."""

    fit: Fit
    span: Span | None
    amps: float | None
    transformer_va: int | None
    hz_differs: bool

    @property
    def words(self) -> str:
        if self.fit is Fit.SELECTOR:
            return f"set its selector to {self.span} V before it is plugged in"
        if self.fit is Fit.TRANSFORMER:
            size = f" of {self.transformer_va} VA or more" if self.transformer_va else ""
            return f"needs a transformer to {self.span} V{size}"
        if self.fit is Fit.NEAR:
            return f"runs here, though its plate says {self.span} V"
        return self.fit.value


def at_house(load: Load, house: House) -> AtHouse:
    """How `load` stands to `house`. Current is that of the plate, which states the most it takes;
    without one, watts over volts of the house (rigs.signal.mains)."""
    rating, volts = load.rating, house.volts
    differs = house.hz is not None and _excludes(rating.hz, house.hz)
    if volts is None or not rating.volts:
        return AtHouse(Fit.UNKNOWN, None, _current(load, volts, None), None, differs)
    fit, span = _fit(rating, volts)
    amps = _current(load, volts, span if fit is Fit.TRANSFORMER else None)
    size = None
    if fit is Fit.TRANSFORMER and amps is not None:
        size = math.ceil(round(amps * volts * HEADROOM, 6))
    return AtHouse(fit, span, amps, size, differs)


def _excludes(stated: Iterable[Span], hz: float) -> bool:
    """Whether frequencies are stated, and none of them is `hz`."""
    spans = list(stated)
    return bool(spans) and not any(span.has(hz) for span in spans)


def _fit(rating: Rating, volts: float) -> tuple[Fit, Span]:
    inside = [span for span in rating.volts if span.has(volts)]
    close = inside or [span for span in rating.volts if span.has(volts, TOLERANCE)]
    if not close:
        return Fit.TRANSFORMER, min(rating.volts, key=lambda span: _away(span, volts))
    if rating.has_selector:
        return Fit.SELECTOR, close[0]
    return (Fit.RUNS if inside else Fit.NEAR), close[0]


def _away(span: Span, volts: float) -> float:
    return min(abs(span.low - volts), abs(span.high - volts))


def _current(load: Load, volts: float | None, through: Span | None) -> float | None:
    """A from the house; `through` are the volts behind a transformer, which keeps the power."""
    rating = load.rating
    if rating.amps is not None:
        if through is None or volts is None:
            return rating.amps
        return rating.amps * through.high / volts
    power = next((p for p in (rating.volt_amps, load.watts, rating.watts) if p is not None), None)
    if power is None or volts is None:
        return None
    return total_current([MainsLoad(power)], volts)
