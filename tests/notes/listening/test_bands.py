"""Third-octave bands against an independent library: PyOctaveBand, a bank of Butterworth filters
after IEC 61260-1 / ANSI S1.11 (its own description)."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from pyoctaveband import octavefilter
from scipy.signal import lfilter

from notes.listening.bands import bands_of, midbands, spectrum, third_octaves
from notes.listening.meters import SpectrumMeter

RATE = 48_000
Sound = NDArray[np.float64]


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


# Strokes, cuts and noise against the energy of all of a sound at once: by Parseval's theorem the
# squares of numpy's FFT of it, with silence behind, add up to the squares of its samples.


def by_parseval(samples: Sound) -> Sound:
    """Mean power between the nominal edges, 1000 · 10^(0.3 · (n ± 1/2) / 3) Hz, in dB."""
    size = 8 * len(samples)
    power = np.abs(np.fft.rfft(samples, size)) ** 2 * 2 / size / len(samples)
    hertz = np.fft.rfftfreq(size, 1 / RATE)
    found = []
    for n in range(-17, 14):
        low, high = (1000 * 10 ** (0.1 * (n + half)) for half in (-0.5, 0.5))
        found.append(power[(hertz >= low) & (hertz < high)].sum())
    return np.asarray(10 * np.log10(np.maximum(found, 1e-30)))


def both_ways(samples: Sound) -> list[Sound]:
    """Levels by the function on the whole and by the meter, block by block."""
    meter = SpectrumMeter(RATE, 1)
    for start in range(0, len(samples), 31_000):
        meter.add(samples[start : start + 31_000, None])
    return [third_octaves(samples, RATE).levels, bands_of(*meter.spectrum(), RATE).levels]


def strong(levels: Sound, within_db: float = 30.0) -> NDArray[np.bool_]:
    return np.asarray(levels > levels.max() - within_db)


def stroke(seed: int) -> Sound:
    """A drum: a falling skin tone from 200 Hz, decaying in 60 ms, and wires of noise above it."""
    rng = np.random.default_rng(seed)
    at = np.arange(RATE // 2) / RATE
    skin = np.exp(-at / 0.06) * np.sin(2 * np.pi * (190 * at - 0.4 * np.exp(-at / 0.02)))
    wires = np.exp(-at / 0.09) * rng.standard_normal(len(at)) * 0.2
    return np.asarray(0.6 * skin + wires)


def silent(seconds: float) -> Sound:
    return np.zeros(round(seconds * RATE))


@pytest.mark.parametrize("before", [0.0, 0.05, 0.17, 0.34, 0.5, 1.03])
@pytest.mark.parametrize("after", [0.0, 0.3, 2.0])
def test_a_stroke_counts_alike_wherever_it_lies(before: float, after: float) -> None:
    alone = stroke(1)
    clip = np.concatenate([silent(before), alone, silent(after)])
    meant = by_parseval(clip)
    for levels in both_ways(clip):
        assert np.abs(levels - meant)[strong(meant)].max() < 0.3
        # The same energy in a longer time, whatever the place.
        longer = 10 * np.log10(len(clip) / len(alone))
        apart = np.abs(levels + longer - third_octaves(alone, RATE).levels)
        assert apart[strong(meant)].max() < 0.1


def playing(seed: int, seconds: float = 40.0) -> Sound:
    """Plucked notes of a bass, one every quarter to half a second, over some noise of the room."""
    rng = np.random.default_rng(seed)
    sound = 0.002 * rng.standard_normal(round(seconds * RATE))
    at = 0
    while at < len(sound):
        length = int(rng.integers(RATE // 4, RATE // 2))
        t = np.arange(min(2 * length, len(sound) - at)) / RATE
        hz = 41.2 * 2 ** (rng.integers(0, 24) / 12)
        for k in range(1, 15):
            wave = np.sin(2 * np.pi * hz * k * t + rng.uniform(0, 6.28))
            sound[at : at + len(t)] += 0.2 / k**1.3 * np.exp(-t * (2 + k)) * wave
        at += length
    return np.asarray(sound)


@pytest.mark.parametrize(("seconds", "typical", "worst"), [(2, 0.05, 0.6), (6, 0.05, 0.4)])
def test_cuts_of_continuous_playing(seconds: int, typical: float, worst: float) -> None:
    """What is left is a tone at the edge of a band, which the window shares between two."""
    apart = []
    for seed in range(2):
        whole = playing(seed)
        starts = np.random.default_rng(seed).integers(0, len(whole) - seconds * RATE, 5)
        for start in starts:
            clip = whole[start : start + seconds * RATE]
            meant = by_parseval(clip)
            for levels in both_ways(clip):
                apart.append(np.abs(levels - meant)[strong(meant)])
    assert float(np.median(np.concatenate(apart))) < typical
    assert max(float(each.max()) for each in apart) < worst


@pytest.mark.parametrize("seconds", [0.2, 0.5, 2.0, 6.0])
def test_noise_of_any_length_holds_all_its_power(seconds: float) -> None:
    clip = 0.1 * np.random.default_rng(7).standard_normal(round(seconds * RATE))
    meant = by_parseval(clip)
    wide = np.flatnonzero(midbands() * 0.2316 * seconds > 30)
    for levels in both_ways(clip):
        assert np.abs(levels - meant)[wide].max() < 0.3
    meter = SpectrumMeter(RATE, 1)
    meter.add(clip[:, None])
    for hertz, density in (spectrum(clip, RATE), meter.spectrum()):
        assert density.sum() * hertz[1] == pytest.approx((clip**2).mean(), rel=1e-5)
