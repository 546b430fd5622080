"""Third-octave bands against an independent library: PyOctaveBand, a bank of Butterworth filters
after IEC 61260-1 / ANSI S1.11 (its own description)."""

from __future__ import annotations

import numpy as np
import pytest
from pyoctaveband import octavefilter
from scipy.signal import lfilter

from notes.listening.bands import bands_of, midbands, third_octaves
from notes.listening.meters import SpectrumMeter

RATE = 48_000


@pytest.mark.parametrize("number", range(3))
def test_programmes_against_a_filter_bank(number: int) -> None:
    """Noise of 20 s falling by up to 9 dB an octave, each with a bump. The bank's bands let a
    little of their neighbours through, so it reads a few hundredths more; below 50 Hz, 20 s of
    noise hold too few samples of a band for the two to agree better than that."""
    rng = np.random.default_rng(61260 + number)
    noise = lfilter([1], [1, -0.4 * number], rng.standard_normal(20 * RATE)) * 0.05
    bump = lfilter([1], [1, -1.96, 0.98], rng.standard_normal(20 * RATE)) * 0.002
    samples = noise + bump
    levels, mids = octavefilter(
        samples, RATE, fraction=3, order=6, limits=[18, 20_500], dbfs=True, detrend=False
    )
    ours = third_octaves(samples, RATE)
    assert np.asarray(mids) == pytest.approx(midbands(), rel=1e-4)
    apart = np.abs(ours.levels - np.asarray(levels))
    assert apart.max() < 0.6
    assert apart[4:].max() < 0.3
    meter = SpectrumMeter(RATE, 1)
    for start in range(0, len(samples), 50_000):
        meter.add(samples[start : start + 50_000, None])
    streamed = bands_of(*meter.spectrum(), RATE)
    assert streamed.levels == pytest.approx(ours.levels, abs=0.01)


def test_a_tone_within_a_band_reads_alike() -> None:
    """0.1 of full scale at a band's middle: −23.01 dB in both."""
    for hz in (100.0, 1000.0, 10 ** (37 / 10)):
        tone = 0.1 * np.sin(2 * np.pi * hz * np.arange(10 * RATE) / RATE)
        levels, _ = octavefilter(
            tone, RATE, fraction=3, order=6, limits=[18, 20_500], dbfs=True, detrend=False
        )
        at = int(np.argmin(np.abs(midbands() - hz)))
        assert float(np.asarray(levels)[at]) == pytest.approx(-23.01, abs=0.05)
        assert third_octaves(tone, RATE).levels[at] == pytest.approx(-23.01, abs=0.02)
