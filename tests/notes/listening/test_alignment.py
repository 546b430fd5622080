"""Known delays, polarities and noise; and what two clips' difference reads like."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal.windows import tukey

from notes.listening.align import align
from notes.listening.bands import (
    NOMINAL,
    Bands,
    centroid,
    correlation,
    edges,
    midbands,
    third_octaves,
)
from notes.listening.compare import difference, in_words, matching_gains
from notes.listening.peaks import clipped_runs, crest_factor

RATE = 48_000


@pytest.mark.parametrize(
    ("delay", "gain", "sigma"),
    [(0, 1, 0), (48, 1, 0), (137, -0.5, 0), (480, 0.3, 0.3), (-96, -1, 0.1), (1000, -0.25, 0.25)],
)
def test_whole_sample_delays_by_construction(delay: int, gain: float, sigma: float) -> None:
    spin = np.random.default_rng(1)
    x = spin.standard_normal(65_536)
    y = np.zeros_like(x)
    y[max(0, delay) : len(x) + min(0, delay)] = x[max(0, -delay) : len(x) - max(0, delay)]
    y = gain * y + sigma * spin.standard_normal(len(x))
    got = align(x, y, RATE)
    assert round(got.delay_s * RATE) == delay
    assert got.polarity == np.sign(gain)
    assert got.confidence > 0.5


@pytest.mark.parametrize("delay", [0.25, 3.5, 12.7])
def test_delays_between_samples(delay: float) -> None:
    """Band-limited noise delayed by a linear phase (exact by the shift theorem)."""
    x = np.random.default_rng(2).standard_normal(32_768)
    bins = np.fft.rfftfreq(len(x))
    spectrum = np.fft.rfft(x) * (bins < 0.25)
    band = np.fft.irfft(spectrum)
    later = np.fft.irfft(spectrum * np.exp(-2j * np.pi * bins * delay))
    assert align(band, later, RATE).delay_s * RATE == pytest.approx(delay, abs=0.05)


def test_a_steady_tone_gives_no_confidence() -> None:
    x = np.sin(2 * np.pi * 440 * np.arange(RATE) / RATE)
    assert align(x, x, RATE).confidence < 0.1


def test_silence_cannot_be_aligned() -> None:
    with pytest.raises(ValueError, match="silent"):
        align(np.zeros(RATE), np.ones(RATE), RATE)


@pytest.mark.parametrize(
    ("nominal", "exact", "low", "high"),
    [
        (25, 25.119, 22.387, 28.184),
        (100, 100, 89.125, 112.202),
        (1000, 1000, 891.251, 1122.018),
        (3150, 3162.28, 2818.383, 3548.134),
        (20000, 19952.62, 17782.794, 22387.211),
    ],
)
def test_iec_61260_midbands_and_edges(
    nominal: float, exact: float, low: float, high: float
) -> None:
    at = NOMINAL.index(nominal)
    assert midbands()[at] == pytest.approx(exact, rel=1e-4)
    assert [e[at] for e in edges()] == pytest.approx([low, high], rel=1e-4)


def test_a_tone_stands_in_its_own_band_at_its_own_level() -> None:
    """Faded in and out: a tone that is cut off hard holds a click, and the bands show it."""
    x = np.sin(2 * np.pi * 1000 * np.arange(4 * RATE) / RATE)
    faded = tukey(4 * RATE, 0.1)
    bands = third_octaves(x * faded, RATE)
    fading = 10 * np.log10((faded**2).mean())
    assert bands.levels[NOMINAL.index(1000)] == pytest.approx(-3.01 + fading, abs=0.02)
    assert np.delete(bands.levels, NOMINAL.index(1000)).max() < -60


def test_white_noise_rises_by_one_decibel_a_band() -> None:
    """A third of an octave wider each time: 10 log10(10^0.1) = 1 dB."""
    x = np.random.default_rng(3).standard_normal(40 * RATE) * 0.1
    levels = third_octaves(x, RATE).levels[8:28]
    assert np.diff(levels) == pytest.approx(np.ones(19), abs=0.4)


def test_bands_add_up_to_the_power_of_the_signal() -> None:
    """Parseval: all bands together hold the power between 18 Hz and 22 kHz."""
    x = np.random.default_rng(4).standard_normal(20 * RATE) * 0.1
    total = 10 * np.log10((10 ** (third_octaves(x, RATE).levels / 10)).sum())
    share = 10 * np.log10((22_387 - 17.8) / 24_000)
    assert total == pytest.approx(10 * np.log10(np.mean(x**2)) + share, abs=0.05)


def test_crest_centroid_correlation_and_clipping_of_known_signals() -> None:
    sine = np.sin(2 * np.pi * 1000 * np.arange(RATE) / RATE)
    assert crest_factor(sine) == pytest.approx(3.0103, abs=0.001)  # 20 log10(sqrt 2)
    assert centroid(sine, RATE) == pytest.approx(1000, rel=0.01)
    assert correlation(np.stack([sine, -sine], axis=1)) == pytest.approx(-1)
    assert clipped_runs(np.clip(2 * sine, -1, 1)) == 2000  # two flat tops a cycle
    assert clipped_runs(0.9 * sine) == 0


def test_clips_are_matched_to_what_all_can_reach_without_clipping() -> None:
    gains = matching_gains([-20.0, -14.0], [-1.5, -3.0])
    assert gains == pytest.approx([0.5, -5.5])
    assert [-20.0 + gains[0], -14.0 + gains[1]] == pytest.approx([-19.5, -19.5])


def test_a_difference_reads_in_plain_words() -> None:
    flat = Bands(midbands(), np.full(31, -40.0))
    change = np.zeros(31)
    change[NOMINAL.index(100) : NOMINAL.index(160) + 1] = -2.8
    change[NOMINAL.index(2500) : NOMINAL.index(4000) + 1] = 1.5
    assert in_words(change) == ["2.8 dB less at 100–160 Hz", "1.5 dB more at 2.5–4 kHz"]
    louder = Bands(midbands(), flat.levels + 6)
    assert np.abs(difference(flat, louder)).max() < 1e-9
