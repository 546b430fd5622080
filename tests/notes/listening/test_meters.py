"""Meters, block by block: the same results as on whole arrays, however a sound is cut into blocks;
the cases of EBU Tech 3341 and 3342; fifty programmes against pyloudnorm and ffmpeg."""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from pyloudnorm import Meter
from scipy.signal import fftconvolve, lfilter, square

from notes.listening import bands, loudness, peaks
from notes.listening.meters import LoudnessMeter, PeakMeter, SpectrumMeter
from tests.notes.listening.test_loudness import RATE, TECH_3341, between_samples, stereo, tone

Samples = NDArray[np.float64]
needs_ffmpeg = pytest.mark.skipif(not shutil.which("ffmpeg"), reason="ffmpeg is not installed")


def pieces(samples: Samples, sizes: Iterable[int]) -> Iterator[Samples]:
    at = 0
    for size in sizes:
        yield samples[at : at + size]
        at += size
    yield samples[at:]


def odd_blocks(samples: Samples, seed: int = 1) -> Iterator[Samples]:
    """Between nothing and a second at a time."""
    rng = np.random.default_rng(seed)
    return pieces(samples, (int(rng.integers(0, 48_000)) for _ in range(len(samples) // 12_000)))


def loudness_of(samples: Samples, rate: float = RATE) -> loudness.Loudness:
    meter = LoudnessMeter(rate, samples.shape[1])
    for block in odd_blocks(samples):
        meter.add(block)
    return meter.result()


@pytest.mark.parametrize("case", TECH_3341)
@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000])
def test_tech_3341_integrated(case: int, rate: int) -> None:
    got = loudness_of(stereo(*TECH_3341[case], rate=rate), rate).integrated
    assert got == pytest.approx(-33.0 if case == 2 else -23.0, abs=0.1)


def test_tech_3341_case_6_five_channels() -> None:
    signal = np.stack([tone(level, 20) for level in (-28, -28, -24, -30, -30)], axis=1)
    assert loudness_of(signal).integrated == pytest.approx(-23.0, abs=0.1)


def test_tech_3341_case_9_short_term() -> None:
    got = loudness_of(stereo(*[(-20, 1.34), (-30, 1.66)] * 5))
    assert got.short_term_max == pytest.approx(-23.0, abs=0.1)


def test_tech_3341_case_12_momentary() -> None:
    got = loudness_of(stereo(*[(-20, 0.18), (-30, 0.22)] * 25))
    assert got.momentary_max == pytest.approx(-23.0, abs=0.1)


@pytest.mark.parametrize("number", range(20))
def test_tech_3341_cases_10_and_13_loudest_wherever_it_lies(number: int) -> None:
    """Tone at −23 dBFS after so much silence: 3 s of it after 0.15 s each are −23 LUFS at most in
    short-term loudness, 0.4 s after 0.02 s each in momentary, ±0.1 (cases from memory)."""

    def burst(before: float, seconds: float) -> Samples:
        parts = (np.zeros(round(before * RATE)), tone(-23, seconds), np.zeros(RATE))
        return np.repeat(np.concatenate(parts)[:, None], 2, axis=1)

    long, short = burst(0.15 * number, 3), burst(0.02 * number, 0.4)
    for measured in (loudness_of, lambda samples: loudness.measure(samples, RATE)):
        assert measured(long).short_term_max == pytest.approx(-23.0, abs=0.1)
        assert measured(short).momentary_max == pytest.approx(-23.0, abs=0.1)


@pytest.mark.parametrize("rate", [44_100, 48_000])
def test_the_loudest_moment_is_that_of_a_window_at_every_sample(rate: int) -> None:
    """A convolution with a window of 0.4 s, on samples weighted by pyloudnorm's filters."""
    rng = np.random.default_rng(rate)
    samples = rng.standard_normal(2 * rate) * np.repeat(rng.uniform(0, 0.3, 50) ** 2, rate // 25)
    weighted = samples
    for stage in Meter(rate, filter_class="DeMan")._filters.values():
        weighted = stage.passband_gain * lfilter(stage.b, stage.a, weighted)
    size = round(0.4 * rate)
    powers = fftconvolve(weighted**2, np.ones(size) / size, mode="valid")
    meant = -0.691 + 10 * np.log10(powers.max())
    for got in (loudness_of(samples[:, None], rate), loudness.measure(samples, rate)):
        assert got.momentary_max == pytest.approx(meant, abs=0.02)


@pytest.mark.parametrize(("case", "offset"), [(20, 0), (21, 1), (22, 2), (23, 3)])
def test_tech_3341_cases_20_to_23_true_peak(case: int, offset: int) -> None:
    meter = PeakMeter(RATE, 1)
    for block in odd_blocks(between_samples(offset)[:, None]):
        meter.add(block)
    assert -0.4 <= meter.true_peak() <= 0.2


@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000, 192_000])
def test_bs1770_997_hz_at_full_scale_in_one_channel(rate: int) -> None:
    """ITU-R BS.1770, Annex 1: 0 dBFS at 997 Hz in one front channel reads −3.01."""
    got = loudness_of(tone(0, 5, 997, rate)[:, None], rate)
    assert got.integrated == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ([(-20, 20), (-30, 20)], 10),
        ([(-20, 20), (-15, 20)], 5),
        ([(-40, 20), (-20, 20)], 20),
        ([(-50, 20), (-35, 20), (-20, 20), (-35, 20), (-50, 20)], 15),
    ],
)
def test_tech_3342_range(steps: list[tuple[float, float]], expected: float) -> None:
    assert loudness_of(stereo(*steps)).range_lu == pytest.approx(expected, abs=1)


@pytest.mark.parametrize(
    ("divisor", "amplitude", "phase", "expected"),
    [
        (4, 0.5, 0, -6.0),
        (4, 0.5, 45, -6.0),
        (6, 0.5, 60, -6.0),
        (8, 0.5, 67.5, -6.0),
        (4, 1.41, 45, 3.0),
    ],
)
def test_tech_3341_cases_15_to_19_true_peak(
    divisor: int, amplitude: float, phase: float, expected: float
) -> None:
    n = np.arange(RATE)
    signal = amplitude * np.sin(2 * np.pi * n / divisor + np.radians(phase))
    taper = np.minimum(1, np.minimum(n, n[::-1]) / (0.01 * RATE))
    meter = PeakMeter(RATE, 1)
    for block in odd_blocks((signal * taper)[:, None]):
        meter.add(block)
    assert expected - 0.4 <= meter.true_peak() <= expected + 0.2


@settings(max_examples=40)
@given(
    seed=st.integers(0, 2**32 - 1),
    frames=st.integers(1, 60_000),
    channels=st.integers(1, 3),
    rate=st.sampled_from([8_000, 44_100, 48_000, 96_000]),
    sizes=st.lists(st.integers(0, 20_000), max_size=12),
)
def test_any_cut_into_blocks_gives_the_same(
    seed: int, frames: int, channels: int, rate: int, sizes: list[int]
) -> None:
    rng = np.random.default_rng(seed)
    shape = rng.uniform(0, 1, (frames, 1)) ** 4
    samples = (rng.standard_normal((frames, channels)) * 0.3 * shape).astype(np.float32)
    loud, top, tone_ = (M(rate, channels) for M in (LoudnessMeter, PeakMeter, SpectrumMeter))
    for block in pieces(samples.astype(np.float64), sizes):
        for meter in (loud, top, tone_):
            meter.add(block)
    if frames >= 0.4 * rate:
        whole = loudness.measure(samples, rate)
        got = loud.result()
        for name in ("integrated", "momentary_max", "short_term_max", "range_lu"):
            assert getattr(got, name) == pytest.approx(getattr(whole, name), abs=1e-6), name
    else:
        with pytest.raises(ValueError, match="at least"):
            loud.result()
    assert top.sample_peak() == pytest.approx(peaks.sample_peak(samples), abs=1e-5)
    assert top.crest_factor() == pytest.approx(peaks.crest_factor(samples), abs=1e-4)
    factor = 4 if rate == 96_000 else 8
    # The whole-array one runs its samples through the filter, too: 0.006 dB.
    assert top.true_peak() == pytest.approx(peaks.true_peak(samples, factor), abs=0.007)
    if frames > 1:
        _, density = tone_.spectrum()
        _, meant = bands.spectrum(samples, rate)
        assert np.allclose(density, meant, rtol=1e-3, atol=1e-9 * meant.max())
    if channels > 1:
        assert tone_.correlation() == pytest.approx(bands.correlation(samples), abs=1e-5)


@given(
    columns=st.lists(st.lists(st.booleans(), min_size=12, max_size=12), min_size=1, max_size=3),
    sizes=st.lists(st.integers(0, 5), max_size=6),
)
def test_runs_at_full_scale_across_blocks(columns: list[list[bool]], sizes: list[int]) -> None:
    samples = np.array(columns, dtype=np.float64).T
    meter = PeakMeter(RATE, samples.shape[1])
    for block in pieces(samples, sizes):
        meter.add(block)
    runs = sum(
        len(run) >= 3 for column in columns for run in "".join(" x"[on] for on in column).split()
    )
    assert meter.clipped_runs() == runs
    assert peaks.clipped_runs(samples) == runs


@pytest.mark.parametrize("seconds", [0.5, 2.0])
def test_every_flat_top_of_a_square_is_a_place(seconds: float) -> None:
    """100 Hz (scipy's square): two tops a cycle, and all of the time at one end of the scale."""
    samples = square(2 * np.pi * 100 * (np.arange(round(seconds * RATE)) + 0.5) / RATE)[:, None]
    meter = PeakMeter(RATE, 1)
    for block in odd_blocks(samples):
        meter.add(block)
    assert meter.clipped_runs() == peaks.clipped_runs(samples) == 200 * seconds
    assert meter.clipped_samples() == len(samples)


def test_an_offset_is_told_from_a_note_that_was_cut_off() -> None:
    """Expected: what was added. A cut sine of 25 Hz has a mean, too, and it is none."""
    t = np.arange(2 * RATE) / RATE
    off = np.stack([0.2 * np.sin(2 * np.pi * 440 * t), 0.2 * np.sin(600 * t) - 0.03], axis=1)
    meter = PeakMeter(RATE, 2)
    for block in odd_blocks(off):
        meter.add(block)
    assert meter.dc_offset() == pytest.approx(-0.03, abs=1e-4)
    assert peaks.dc_offset(off) == pytest.approx(-0.03, abs=1e-4)
    assert peaks.is_offset(meter.dc_offset(), 0.23, 2.0)
    cut = 0.9 * np.sin(2 * np.pi * 25 * t)[: round(0.51 * RATE)]
    assert abs(peaks.dc_offset(cut)) > 0.01
    assert not peaks.is_offset(peaks.dc_offset(cut), 0.9, len(cut) / RATE)


def test_silence_and_nothing() -> None:
    loud, top, tone_ = (M(RATE, 2) for M in (LoudnessMeter, PeakMeter, SpectrumMeter))
    for meter in (loud, top, tone_):
        meter.add(np.zeros((RATE, 2)))
    assert loud.result().integrated == -math.inf
    assert top.true_peak() == -math.inf
    assert math.isnan(top.crest_factor())
    assert math.isnan(tone_.correlation())
    with pytest.raises(ValueError, match="no samples"):
        SpectrumMeter(RATE, 2).spectrum()


def programme(number: int) -> Samples:
    """6 to 12 s of coloured noise and tones that come and go, with pauses, never clipped."""
    rng = np.random.default_rng(3341 + number)
    # Whole tenths of a second: where less is left over at the end, pyloudnorm counts it in.
    frames = int(rng.integers(60, 120)) * RATE // 10
    channels = 1 + number % 2
    noise = lfilter(
        [1], [1, -rng.uniform(0, 0.97)], rng.standard_normal((frames, channels)), axis=0
    )
    time = np.arange(frames) / RATE
    sines = sum(
        np.sin(2 * np.pi * rng.uniform(40, 8000) * time + rng.uniform(0, 6)) for _ in range(3)
    )
    knots = np.linspace(0, frames, 12)
    gain = 10 ** (np.interp(np.arange(frames), knots, rng.uniform(-40, 0, 12)) / 20)
    pause = int(rng.integers(0, frames - RATE))
    gain[pause : pause + RATE] = 0
    mixed = (noise / np.abs(noise).max() + np.asarray(sines)[:, None] / 6) * gain[:, None]
    return np.asarray(mixed / np.abs(mixed).max() * rng.uniform(0.05, 0.9))


@pytest.mark.parametrize("number", range(50))
def test_programmes_against_pyloudnorm(number: int) -> None:
    samples = programme(number)
    meant = Meter(RATE, filter_class="DeMan").integrated_loudness(samples)
    assert loudness_of(samples).integrated == pytest.approx(meant, abs=0.1)


def by_ffmpeg(samples: Samples, folder: Path) -> tuple[float, float, float]:
    """Integrated loudness, loudness range and true peak as the ffmpeg program prints them."""
    path = folder / "programme.wav"
    soundfile.write(path, samples, RATE, "FLOAT")
    command = [
        "ffmpeg",
        "-hide_banner",
        "-nostats",
        "-i",
        str(path),
        "-af",
        "ebur128=peak=true:framelog=verbose",
        "-f",
        "null",
        "-",
    ]
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stderr
    patterns = (r"I:\s+(\S+) LUFS", r"LRA:\s+(\S+) LU", r"Peak:\s+(\S+) dBFS")
    integrated, span, peak = (float(re.findall(pattern, said)[-1]) for pattern in patterns)
    return integrated, span, peak


@needs_ffmpeg
def test_programmes_against_ffmpeg(tmp_path: Path) -> None:
    """ffmpeg prints tenths: half of one is added to what is allowed. Its true peak is read from a
    4-fold oversampling with another filter."""
    for number in range(50):
        samples = programme(number)
        integrated, _, peak = by_ffmpeg(samples, tmp_path)
        top = PeakMeter(RATE, samples.shape[1])
        for block in odd_blocks(samples):
            top.add(block)
        assert loudness_of(samples).integrated == pytest.approx(integrated, abs=0.15)
        assert top.true_peak() == pytest.approx(peak, abs=0.25)


@needs_ffmpeg
def test_loudness_range_against_ffmpeg(tmp_path: Path) -> None:
    """Of a minute and a half: ffmpeg also counts the 29 windows that its start does not fill,
    which decide over the range of a few seconds and hardly over this one."""
    samples = np.concatenate([programme(number) for number in range(1, 21, 2)])
    _, span, _ = by_ffmpeg(samples, tmp_path)
    assert loudness_of(samples).range_lu == pytest.approx(span, abs=0.5)
