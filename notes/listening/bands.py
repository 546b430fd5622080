"""1/3-octave bands (IEC 61260-1 midbands, base 10) and what is read off them.

Band levels are sums of a Welch power spectrum between the band edges, with the bins at an edge
shared in proportion: fast and exact for noise. A filter bank would spread a tone that lies on an
edge over two bands; this does not, and differs there by design (docs/listening.md).

Every sample counts alike, the first and the last ones, too: the squares of Hann windows that begin
a quarter of a window apart add up to a constant, and silence before and after the sound lets as
many of them cover its ends as its middle. So the power in all bands together is that of the sound.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.listening.samples import Samples, as_frames, check_rate

METHOD = "bands/2"
OVERLAP = 4  # windows over each sample; from 3 on the squares of Hann windows add up evenly
_G = 10**0.3
_INDEX = range(-17, 14)  # 20 Hz to 20 kHz
NOMINAL = (
    20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250,
    1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bands:
    """Midband frequencies in Hz and levels in dBFS (power of a full-scale sine is −3.01)."""

    midbands: NDArray[np.float64]
    levels: NDArray[np.float64]


FREQUENCIES = gettext_noop("{hertz:.3g} Hz"), gettext_noop("{kilohertz:.3g} kHz")


def hertz_words(hertz: float) -> str:
    """A frequency to three figures: “31.5 Hz”, “2.5 kHz”."""
    in_hertz, in_kilohertz = FREQUENCIES
    if hertz >= 1000:
        return Said(in_kilohertz, kilohertz=hertz / 1000)
    return Said(in_hertz, hertz=float(hertz))


def midbands() -> NDArray[np.float64]:
    return 1000 * _G ** (np.array(_INDEX) / 3)


def edges() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return midbands() * _G ** (-1 / 6), midbands() * _G ** (1 / 6)


def a_weighting(hertz: NDArray[np.float64]) -> NDArray[np.float64]:
    """dB to add to a level, so that it counts as an ear hears it when it is not loud.

    A-weighting of IEC 61672-1 (its pole frequencies from memory); 0 dB at 1 kHz.
    """
    squares = np.asarray(hertz, dtype=np.float64) ** 2
    poles = [20.598997, 107.65265, 737.86223, 12194.217]
    first, second, third, last = (squares + pole**2 for pole in poles)
    response = poles[3] ** 2 * squares**2 / (first * np.sqrt(second * third) * last)
    # 2.0 dB brings it to 0 dB at 1 kHz (IEC 61672-1, from memory).
    return np.asarray(20 * np.log10(response) + 2.0)


def window_length(rate: float) -> int:
    """Samples in a window of the spectrum: a power of 2, 1.6 s or more (2.73 s at 48 kHz).

    A longer one parts a tone at the edge of a low band better from the next band. It costs no
    certainty: every sample counts alike, however many lie under one window.
    """
    return 1 << int(np.ceil(np.log2(1.6 * rate)))


def spectrum(samples: Samples, rate: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Frequencies (Hz) and power density (1/Hz) of the mean of all channels' powers."""
    frames = as_frames(samples)
    length = window_length(check_rate(rate))
    hop = length // OVERLAP
    before = length - hop
    windows = -(-(before + len(frames)) // hop)
    after = (windows - 1) * hop + length - before - len(frames)
    frequencies, density = scipy.signal.welch(
        np.pad(frames, ((before, after), (0, 0))),
        rate,
        "hann",
        nperseg=length,
        noverlap=length - hop,
        axis=0,
        detrend=False,
    )
    # Welch takes the mean of the windows; the silence in them is no part of the sound.
    return frequencies, density.mean(axis=1) * (windows * hop / len(frames))


def spectrum_of_stretch(
    samples: Samples, rate: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Like `spectrum`, for a short stretch cut out of a steady sound, through one window.

    Cut off hard, a loud low sound would spread a click over the quiet bands.
    """
    frames = as_frames(samples)
    frequencies, density = scipy.signal.periodogram(
        frames, check_rate(rate), "hann", axis=0, detrend=False
    )
    return frequencies, density.mean(axis=1)


def third_octaves(samples: Samples, rate: float) -> Bands:
    """Levels of the bands from 20 Hz to 20 kHz; −inf for bands above half the rate."""
    return bands_of(*spectrum(samples, rate), rate)


def bands_of(frequencies: NDArray[np.float64], density: NDArray[np.float64], rate: float) -> Bands:
    """Like `third_octaves`, from a spectrum (Hz, 1/Hz) that was taken already."""
    width = frequencies[1] - frequencies[0]
    starts, ends = frequencies - width / 2, frequencies + width / 2
    powers = []
    for low, high in zip(*edges(), strict=True):
        inside = np.clip(np.minimum(ends, high) - np.maximum(starts, low), 0, width)
        # A hair more than half the rate, for an edge that rounding puts above it.
        powers.append(float((density * inside).sum()) if high <= rate / 2 * 1.0001 else 0.0)
    with np.errstate(divide="ignore"):
        return Bands(midbands(), 10 * np.log10(np.array(powers)))


def centroid(samples: Samples, rate: float) -> float:
    """Power-weighted mean frequency, Hz; NaN for silence."""
    return centroid_of(*spectrum(samples, rate))


def centroid_of(frequencies: NDArray[np.float64], density: NDArray[np.float64]) -> float:
    """Like `centroid`, from a spectrum (Hz, 1/Hz) that was taken already."""
    total = float(density.sum())
    return float((frequencies * density).sum() / total) if total > 0 else float("nan")


def balance(bands: Bands, low_hz: float = 250, high_hz: float = 2500) -> dict[str, float]:
    """Level of the low, middle and high part against the whole, dB."""
    power = 10 ** (bands.levels / 10)
    total = float(power.sum())
    parts = {
        "low": bands.midbands < low_hz,
        "middle": (bands.midbands >= low_hz) & (bands.midbands < high_hz),
        "high": bands.midbands >= high_hz,
    }
    with np.errstate(divide="ignore", invalid="ignore"):
        return {
            name: float(10 * np.log10(power[mask].sum() / total)) for name, mask in parts.items()
        }


def correlation(samples: Samples) -> float:
    """Correlation of the first two channels, −1 to 1; NaN for one channel or silence."""
    frames = as_frames(samples)
    if frames.shape[1] < 2:
        return float("nan")
    left, right = frames[:, 0], frames[:, 1]
    scale = float(np.sqrt((left**2).sum() * (right**2).sum()))
    return float((left * right).sum() / scale) if scale > 0 else float("nan")
