"""Drums as ideal circular membranes: mode ratios and pitch; intervals between a kit's drums.

A real drum has two heads, air between them and stiffness, all of which move the modes: use these
ratios to know the model, and an ear or a tuner for the drum.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from rigs.signal._bessel import bessel
from rigs.signal._check import Q, plain, positive, whole
from rigs.signal.notes import semitones

MOST_DIAMETERS = 12
MOST_CIRCLES = 8


def bessel_zero(diameters: int, circles: int) -> float:
    """The n-th positive zero of the Bessel function J_m: m nodal diameters, n nodal circles.

    Source: Bessel's integral, bisected; checked against scipy. Range: m 0 to 12, n 1 to 8.
    Raises ValueError outside it.
    """
    m = whole("diameters", diameters, 0, MOST_DIAMETERS)
    return _zero(m, whole("circles", circles, 1, MOST_CIRCLES))


@lru_cache(maxsize=128)
def _zero(m: int, n: int) -> float:
    # The first positive zero of J_m lies above m, and the eighth of J_12 well below the end.
    grid = np.arange(max(m, 1), m + 4 * n + 12, 0.5)  # neighbouring zeros are about 3 apart
    signs = np.signbit(bessel(m, grid))
    low = float(grid[np.flatnonzero(signs[1:] != signs[:-1])[n - 1]])
    return _bisected(m, low, low + 0.5)


def _bisected(m: int, low: float, high: float) -> float:
    negative = np.signbit(bessel(m, np.array(low)))
    # Fifty halvings of 0.5 come down to the resolution of a float.
    for _ in range(50):
        middle = (low + high) / 2
        if np.signbit(bessel(m, np.array(middle))) == negative:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def mode_ratio(diameters: int, circles: int) -> float:
    """Frequency of mode (m, n) over that of mode (0, 1): j_mn / j_01.

    Source: ideal membrane in vacuum. Range and errors: as bessel_zero (raises ValueError).
    """
    return bessel_zero(diameters, circles) / bessel_zero(0, 1)


def membrane_frequency(
    tension: Q, radius: float, density: float, diameters: int = 0, circles: int = 1
) -> Q:
    """Frequency in Hz of a mode: j_mn / (2 pi a) sqrt(T / sigma).

    tension in N/m along the rim, radius in m, density in kg/m^2. Source: ideal membrane in
    vacuum. Range: all above 0, modes as bessel_zero. Raises ValueError outside it.
    """
    wave = (positive("tension", tension) / positive("density", density)) ** 0.5
    factor = bessel_zero(diameters, circles) / (2 * math.pi * positive("radius", radius))
    return plain(wave * factor)


def kit_intervals(frequencies: Sequence[float]) -> list[float]:
    """Semitones from each drum to the next one, in the order given, from frequencies in Hz.

    Negative where the next is lower. Source: equal temperament. Range: two drums or more, above
    0 Hz, the same mode measured on each. Raises ValueError outside it.
    """
    if len(frequencies) < 2:
        raise ValueError(f"frequencies must name at least two drums, got {list(frequencies)!r}")
    pairs = zip(frequencies[:-1], frequencies[1:], strict=True)
    return [semitones(one, other) for one, other in pairs]
