"""How much later one capture of a sound is than another, held notes included.

A held note matches itself a period later, and plain cross-correlation then picks the loudest
partial's period. Here every frequency counts by how surely both captures hold the same sound there,
not by its power: the generalised cross-correlation with phase transform (Knapp and Carter, “The
Generalized Correlation Method for Estimation of Time Delay”, IEEE Trans. ASSP 24, 320, 1976),
weighted by the coherence. Lines whose coherence chance alone could give are left out: of n
independent averages it exceeds 1 − α^(1/(n−1)) in a share α of cases (Carter, “Coherence and Time
Delay Estimation”, Proc. IEEE 75, 236, 1987). Both are cited from memory. What a loudspeaker or a
microphone turns the phase by follows from its level over frequency (`phase`), and is taken out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.listening.phase import minimum_phase, over_a_third
from notes.listening.samples import Samples, as_frames, check_rate

METHOD = "delay/5"
# Half as high as the peak, 6 dB, is where a rival makes the answer doubtful: a convention of this
# module. docs/measurements.md has what it comes to on 360 made-up pairs: 0.51 at least where one
# sound was in both and could be told, 0.42 at most where it could not.
CERTAIN = 0.5
# Where a response turns the phase by a quarter, both polarities fit, half a period of its treble
# apart. Set on the half of the recordings that limits are set on (docs/measurements.md): above it
# six sure answers in ten were wrong there, below it none where nothing else was heard.
MOST_OPPOSED = 0.6
# Louder lines count somewhat more, as they are more often those of the source that is wanted.
_LOUDER = 0.25
_OCTAVES_HZ = tuple(45.0 * 2**n for n in range(8))
# Of moments by their loudness this share agrees no better than what is told of them.
_LEAST_MOMENTS = 0.25
_SEGMENT_S = 0.3
_LEAST_S = 0.5
_CHANCE = 0.01
_LOWEST_HZ, _HIGHEST_HZ = 30.0, 12_000.0
# What lies further below the loudest line is no sound but a window's leakage, or rounding, and two
# copies of one file share even that. Common practice, no source: no microphone's chain hears lower.
_FLOOR_DB = -100.0
# Nor does what lies so far down say what a response does: the tails of resampling differ, too.
_RESPONSE_FLOOR_DB = -70.0
_LOBE_S = 0.0003  # 10 cm of air: nearer than this it is the same peak
_NEAR_S = 0.006  # 2 m of air: further away another period fits a note as well
# What no two captures agree beyond: rounding. It keeps a quotient of two misfits finite.
_LEAST_MISFIT = 0.002
_FINER = 4  # steps between two samples, before the parabola

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Delay:
    """`delay_s` is positive when the second capture is later. `polarity` is +1 or −1.

    `confidence` is 0 to 1: how far the next best delay, of either polarity, stays below this one.
    `alike` is the share of frequencies, 0 to 1, at which both surely hold the same sound.
    `opposed` is how well the other polarity fits at the same place, half a period away, 0 to 1.
    `agreed` is how well the loudest lines agree with it in the quarter of moments that agree least,
    −1 to 1.
    `stands_out` is how many times as much of the loudest lines the best other delay within 6 ms
    leaves unexplained, at least 0.3 ms away and of either polarity; below 1 it explains more.
    """

    delay_s: float
    polarity: int
    confidence: float
    alike: float
    opposed: float = 0.0
    agreed: float = 1.0
    stands_out: float = float("inf")

    @property
    def is_certain(self) -> bool:
        """Of one source; whether there are two is for `relation` to ask, which knows of DIs."""
        return self.confidence >= CERTAIN and not self.either_polarity

    @property
    def either_polarity(self) -> bool:
        """Whether nobody can say from this which way round the second is."""
        return self.opposed > MOST_OPPOSED


@dataclass(frozen=True, slots=True)
class _Lines:
    """Averaged over segments: the phase of the second against the first, a number of length 1 for
    each line; its weight; how much power both share there; what a response turned it by, as the
    phase; the frequencies in Hz."""

    phase: Complex
    weight: Real
    power: Real
    turn: Complex
    hertz: Real
    alike: float


def delay_between(
    first: Samples, second: Samples, rate: float, reach_s: float = 0.05, *, near_s: float = 0.0
) -> Delay:
    """Search ±`reach_s` around `near_s`, on the mean of each capture's channels.

    Raises ValueError for silence, for less than 0.5 s, or for a search wider than the captures.
    """
    a, b = (as_frames(x).mean(axis=1) for x in (first, second))
    if not a.any() or not b.any():
        raise ValueError(Said(gettext_noop("one of the clips is silent")))
    shift = round(near_s * check_rate(rate))
    reach = round(reach_s * rate)
    parts = _overlapping(a, b, shift)
    # Four times the reach, so that at the farthest delay three quarters are still in both.
    if len(parts[0]) < max(_LEAST_S * rate, 4 * reach):
        raise ValueError(Said(gettext_noop("less than half a second cannot be aligned")))
    size = _segment(len(parts[0]), rate)
    first_lines = _lines(*parts, rate, size)
    heights = _correlation(first_lines.phase, first_lines.weight, size, reach)
    # Segments that lie apart share less, so what is far off is set together and read again.
    shift += round((int(np.argmax(np.abs(heights))) - reach * _FINER) / _FINER)
    parts = _overlapping(a, b, shift)
    lines = _lines(*parts, rate, size)
    heights = _correlation(lines.phase, lines.weight, size, reach)
    best = int(np.argmax(np.abs(heights)))
    between = (best - reach * _FINER + _vertex(np.abs(heights), best)) / _FINER
    polarity = 1 if heights[best] >= 0 else -1
    lobe = round(_LOBE_S * rate * _FINER)
    loudest = _correlation(lines.phase, lines.power, size, reach)
    return Delay(
        delay_s=float((shift + between) / rate),
        polarity=polarity,
        confidence=_confidence(np.abs(heights), best, lobe),
        alike=lines.alike,
        opposed=_opposed(heights, best, lobe),
        agreed=_agreed(*parts, size, lines, between / rate, polarity),
        stands_out=_stands_out(polarity * loudest, best, lobe, round(_NEAR_S * rate * _FINER)),
    )


def chance_coherence(averages: float, share: float = _CHANCE) -> float:
    """What two unrelated sounds exceed in a `share` of cases, from so many averages (Carter)."""
    return float(1 - share ** (1 / (averages - 1))) if averages > 1 else 1.0


def unbiased(coherence: Real, averages: float) -> Real:
    """Coherence less its bias: two unrelated sounds come to 1/n on average of n (Carter)."""
    low = 1 / averages
    return np.clip((coherence - low) / (1 - low), 0, 1) if averages > 1 else 0 * coherence


def averages_of(segments: int) -> float:
    """Independent averages that Hann windows, each by half over the next, are worth (Welch)."""
    return segments / (1 + (2 / 36) * (1 - 1 / segments))


def _overlapping(a: Real, b: Real, shift: int) -> tuple[Real, Real]:
    a, b = a[max(0, -shift) :], b[max(0, shift) :]
    length = min(len(a), len(b))
    return a[:length], b[:length]


def _segment(length: int, rate: float) -> int:
    """A power of 2 of about a third of a second; shorter where the captures are short."""
    return 1 << int(np.log2(min(_SEGMENT_S * rate * 1.5, length / 3)))


def _spectra(a: Real, b: Real, size: int) -> Iterator[tuple[Complex, Complex]]:
    """Of both, segment by segment, each by half over the next."""
    # Zero-padded to twice the segment, or the ends would correlate with the beginnings around the
    # circle of the transform.
    window = np.hanning(size)
    for start in range(0, len(a) - size + 1, size // 2):
        one, other = (np.fft.rfft(x[start : start + size] * window, 2 * size) for x in (a, b))
        yield one, other


def _lines(a: Real, b: Real, rate: float, size: int) -> _Lines:
    cross = np.zeros(size + 1, dtype=np.complex128)
    powers = np.zeros((2, size + 1))
    segments = 0
    for one, other in _spectra(a, b, size):
        cross += other * one.conj()
        powers += np.abs(one) ** 2, np.abs(other) ** 2
        segments += 1
    averages = averages_of(segments)
    both = np.abs(cross)
    with np.errstate(invalid="ignore", divide="ignore"):
        coherence = np.nan_to_num(both**2 / (powers[0] * powers[1]))
    frequencies = np.asarray(np.fft.rfftfreq(2 * size, 1 / rate), dtype=np.float64)
    heard = (frequencies >= _LOWEST_HZ) & (frequencies <= min(_HIGHEST_HZ, 0.45 * rate))
    # In each of the two, since a line that is missing in one cannot agree.
    heard &= (powers > powers.max(axis=1, keepdims=True) * 10 ** (_FLOOR_DB / 10)).all(axis=0)
    counts = heard & (coherence > chance_coherence(averages)) & (both > 0)
    # Divided by its own magnitude a line keeps only its phase: the phase transform of the title.
    phase = np.where(counts, cross / np.where(both > 0, both, 1), 0.0)
    read = counts & (both > both.max() * 10 ** (_RESPONSE_FLOOR_DB / 10))
    turned = minimum_phase(np.where(read, both, 0), np.where(read, powers[0], 0), frequencies)
    loud = np.sqrt(over_a_third(powers, frequencies).prod(axis=0))
    weight = np.where(counts, unbiased(coherence, averages) * loud**_LOUDER, 0.0)
    alike = float(counts.sum() / max(1, heard.sum()))
    back = np.exp(-1j * turned)
    power = np.where(counts, both, 0.0)
    return _Lines(phase * back, weight, power, back, frequencies, alike)


def _correlation(phase: Complex, weight: Real, size: int, reach: int) -> Real:
    """At every quarter of a sample from −`reach` to `reach`; 1 where all lines agree."""
    # Zeros above the highest line interpolate between samples (band-limited, as in resampling).
    length = 2 * size * _FINER
    spectrum = np.zeros(length // 2 + 1, dtype=np.complex128)
    spectrum[: size + 1] = phase * weight
    whole = float(np.abs(spectrum).sum()) * 2 / length
    correlation = np.fft.irfft(spectrum, length) / (whole or 1.0)
    return np.concatenate([correlation[-reach * _FINER :], correlation[: reach * _FINER + 1]])


def _agreed(a: Real, b: Real, size: int, lines: _Lines, delay_s: float, polarity: int) -> float:
    """How far the loudest lines have the phase that the delay would give them (1 where all do, 0
    where it is any) in the quarter of moments that agree least."""
    inside = slice(0, int(np.searchsorted(lines.hertz, 2 * _OCTAVES_HZ[-1])))
    hertz, counts = lines.hertz[inside], lines.weight[inside] > 0
    back = polarity * lines.turn[inside] * np.exp(2j * np.pi * hertz * delay_s)
    octaves = np.searchsorted(hertz, _OCTAVES_HZ)
    octaves = octaves[octaves < len(hertz)]
    agree, loud = [], []
    for one, other in _spectra(a, b, size):
        cross = (other * one.conj())[inside] * back
        level = np.abs(cross)
        # Of an octave what counts speaks for all of it.
        whole, counted, real = (
            np.add.reduceat(each, octaves)
            for each in (level, np.where(counts, level, 0), np.where(counts, cross.real, 0))
        )
        loud.append(float(whole.sum()))
        agree.append(float((whole * real / np.where(counted > 0, counted, 1)).sum()))
    moments = np.array(loud)
    shares = np.array(agree) / np.where(moments > 0, moments, 1)
    order = np.argsort(shares)
    at = np.searchsorted(np.cumsum(moments[order]), _LEAST_MOMENTS * moments.sum())
    return float(shares[order][min(int(at), len(order) - 1)])


def _opposed(heights: Real, best: int, lobe: int) -> float:
    """How high the same place stands in the other polarity, of its own height, 0 to 1."""
    near = heights[max(0, best - lobe) : best + lobe + 1] * np.sign(heights[best])
    return float(max(0.0, -near.min()) / abs(heights[best])) if heights[best] else 1.0


def _stands_out(heights: Real, best: int, lobe: int, near: int) -> float:
    """How many times as much the best other place nearby leaves unexplained as this one."""
    around = np.abs(heights[max(0, best - near) : best + near + 1])
    at = min(best, near)
    elsewhere = np.concatenate([around[: max(0, at - lobe)], around[at + lobe + 1 :]])
    if len(elsewhere) == 0:
        return 0.0
    return float((1 - elsewhere.max()) / (1 - heights[best] + _LEAST_MISFIT))


def _vertex(values: Real, at: int) -> float:
    """Where a parabola through a peak and its neighbours has its top, in steps from `at`."""
    if not 0 < at < len(values) - 1:
        return 0.0
    left, peak, right = (float(v) for v in values[at - 1 : at + 2])
    bend = left - 2 * peak + right
    return 0.0 if bend == 0 else 0.5 * (left - right) / bend


def _confidence(heights: Real, best: int, lobe: int) -> float:
    elsewhere = np.concatenate([heights[: max(0, best - lobe)], heights[best + lobe + 1 :]])
    if heights[best] <= 0 or len(elsewhere) == 0:
        return 0.0
    return float(1 - elsewhere.max() / heights[best])
