"""Equally loud over exactly what is played, measured by the general-purpose library pyloudnorm."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from pyloudnorm import Meter
from scipy.signal import lfilter

from notes.listening.compare import matching_gains
from notes.listening.played import played

RATE = 48_000


def take(seed: int) -> NDArray[np.float64]:
    """4 to 9 s of coloured noise whose level changes every second by up to 25 dB, in tenths."""
    rng = np.random.default_rng(seed)
    frames = int(rng.integers(40, 90)) * RATE // 10
    colour = lfilter([1], [1, -rng.uniform(0, 0.95)], rng.standard_normal(frames))
    levels = np.repeat(rng.uniform(-25, 0, 10), RATE)[:frames]
    return np.asarray(0.3 * colour / np.abs(colour).max() * 10 ** (levels / 20))


@pytest.mark.parametrize("pair", range(40))
def test_sections_with_drawn_levels(pair: int) -> None:
    """Over whole takes the same pairs are up to 8 LU apart, over the section less than 0.1."""
    rng = np.random.default_rng(1000 + pair)
    takes = [take(2 * pair), take(2 * pair + 1)]
    most = min(map(len, takes)) // (RATE // 10)
    length = int(rng.integers(5, most)) * RATE // 10
    start = int(rng.integers(0, most * RATE // 10 - length + 1))
    sections = [each[start : start + length] for each in takes]
    found = [played(each, RATE) for each in sections]
    gains = matching_gains([one.loudness for one in found], [one.true_peak for one in found])
    meter = Meter(RATE, filter_class="DeMan")
    levels = [
        meter.integrated_loudness(each * 10 ** (gain / 20))
        for each, gain in zip(sections, gains, strict=True)
    ]
    assert abs(levels[0] - levels[1]) < 0.1


def test_a_section_too_short_for_a_loudness_is_measured_as_it_loops() -> None:
    short = take(3)[: RATE // 10]
    meant = Meter(RATE, filter_class="DeMan").integrated_loudness(np.tile(short, 5))
    assert played(short, RATE).loudness == pytest.approx(meant, abs=0.15)
