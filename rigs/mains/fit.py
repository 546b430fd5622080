"""Whether a unit can be plugged into the mains of a house, what it takes there, and which
transformer it would need. Pure.

Sums for asking a qualified person the right question; no wiring plan. Inrush is not in them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

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

    RUNS = gettext_noop("runs here as it is")
    NEAR = gettext_noop("runs here, though its plate says other volts")
    SELECTOR = gettext_noop("set its selector")
    TRANSFORMER = gettext_noop("needs a transformer")
    UNKNOWN = gettext_noop("not known")


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
            return _("set its selector to {span} V before it is plugged in").format(span=self.span)
        if self.fit is Fit.TRANSFORMER:
            if self.transformer_va:
                return _("needs a transformer to {span} V of {size} VA or more").format(
                    span=self.span, size=self.transformer_va
                )
            return _("needs a transformer to {span} V").format(span=self.span)
        if self.fit is Fit.NEAR:
            return _("runs here, though its plate says {span} V").format(span=self.span)
        return _(self.fit.value)


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
