"""Loudspeaker loads: nominal impedances as wired, power per cabinet, tap mismatch, bridging.

Resistive model: a cabinet's true impedance moves with frequency, often from below nominal to
several times it. What a valve amplifier stands is for its maker and a qualified person to say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rigs.signal._check import Q, plain, positive


@dataclass(frozen=True)
class Series:
    """Parts wired one after the other; each part is ohms or a group of its own."""

    parts: tuple[Wiring, ...]


@dataclass(frozen=True)
class Parallel:
    """Parts wired side by side; each part is ohms or a group of its own."""

    parts: tuple[Wiring, ...]


Wiring = float | Series | Parallel


def series(*ohms: float) -> float:
    """Impedance of loads in series: sum(Z).

    Source: Kirchhoff. Range: one load or more, each above 0 ohm. Raises
    ValueError outside it.
    """
    # fsum, so that the order in which cabinets are listed cannot change the last digit.
    return math.fsum(_loads(ohms))


def parallel(*ohms: float) -> float:
    """Impedance of loads in parallel: 1 / sum(1/Z).

    Source: Kirchhoff. Range: one load or more, each above 0 ohm. Raises
    ValueError outside it.
    """
    return 1 / math.fsum(1 / z for z in _loads(ohms))


def _loads(ohms: tuple[float, ...]) -> tuple[float, ...]:
    if not ohms:
        raise ValueError("ohms must name at least one load, got none")
    return tuple(positive("ohms", z) for z in ohms)


def impedance(wiring: Wiring) -> float:
    """Impedance in ohm of cabinets wired in any nesting of Series and Parallel.

    Source, range and errors: as series and parallel (raises ValueError).
    """
    if isinstance(wiring, Series):
        return series(*(impedance(part) for part in wiring.parts))
    if isinstance(wiring, Parallel):
        return parallel(*(impedance(part) for part in wiring.parts))
    return float(positive("ohms", wiring))


def power_shares(wiring: Wiring) -> list[float]:
    """Share of the total power (sums to 1) each cabinet takes, in the order written.

    Formula: by Z in series, by 1/Z in parallel, level by level. Source: Joule, Kirchhoff.
    Range: as impedance; equal sensitivity is not implied, so shares of power are not shares of
    loudness. Raises ValueError as impedance does.
    """
    # A single cabinet takes all the power, but its impedance is still checked.
    if not isinstance(wiring, Series | Parallel):
        positive("ohms", wiring)
        return [1.0]
    total = impedance(wiring)
    ratios = [impedance(part) / total for part in wiring.parts]
    # One current through all in series (P = I² Z), one voltage across all in parallel (P = V² / Z).
    weights = ratios if isinstance(wiring, Series) else [1 / r for r in ratios]
    pairs = zip(wiring.parts, weights, strict=True)
    return [weight * share for part, weight in pairs for share in power_shares(part)]


def power_watts(volts: Q, ohms: float) -> Q:
    """Power in W of a voltage in V rms across a load: V^2 / R.

    Source: Joule. Range: both above 0. Raises ValueError outside it.
    """
    return plain(positive("volts", volts) ** 2 / positive("ohms", ohms))


def tap_ratio(load: Q, tap: float) -> Q:
    """Load over the output tap it hangs on: the factor on the impedance the valves see.

    1 is matched, 0.5 is 4 ohm on an 8 ohm tap. Source: ideal transformer. Range: both above
    0 ohm. It says nothing about power or what is safe: ask the maker or a qualified technician.
    Raises ValueError outside the range.
    """
    return plain(positive("load", load) / positive("tap", tap))


def bridging_loss_db(load: Q, source: float) -> Q:
    """Level change in dB when a source impedance drives a load: 20 log10(ZL / (ZL + ZS)).

    Negative is a loss. Source: voltage divider. Range: both above 0 ohm, resistive.
    Raises ValueError outside it.
    """
    total = positive("load", load) + positive("source", source)
    return plain(20 * np.log10(positive("load", load) / total))
