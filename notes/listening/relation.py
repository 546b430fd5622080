"""Whether two clips hold one performance, how far apart in time, and how sure that is.

`relate` is the only estimator of a delay and a polarity: the page of two captures, clips side by
side and blind trials all ask it, so none states what another refuses.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import gcd

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.listening.align import align
from notes.listening.delay import CERTAIN, Delay, averages_of, delay_between, unbiased
from notes.listening.delay import METHOD as DELAY_METHOD
from notes.listening.doubt import (
    ANOTHER_SOURCE,
    EITHER_POLARITY,
    LOUDEST_OPEN,
    NOT_BEGUN_TOGETHER,
    RIVAL,
    TWO_PERFORMANCES,
    TWO_SOURCES,
    UnclearTiming,
    unreadable,
)
from notes.listening.drift import METHOD as DRIFT_METHOD
from notes.listening.drift import drift_ppm, undrifted
from notes.listening.samples import Samples, as_frames, check_rate

METHOD = f"relation/8 {DELAY_METHOD} {DRIFT_METHOD}"
LONGEST_S = 30.0  # read of each clip, from its beginning
REACH_S = 0.05  # 17 m of air, and longer than the period of any note that is heard as one
_RATE = 12_000
_FAR_S = 2.0
_SEGMENT = 2048  # 0.17 s at 12 kHz
# A place further away has to fit better by this much: a loop fits itself a bar later, too.
_BETTER = 0.05
# Where one performance ends and two begin is a convention of this module, with room for doubt
# between: docs/comparing.md says what it rests on.
ONE, TWO = 0.75, 0.45
# A room takes from both what the two share and what agrees with one delay; another source that both
# hear is shared as well, and takes from what agrees alone. So much has to agree for what is shared,
# or the delay may be of the other source. Set on the half of the recordings that limits are set on
# (docs/measurements.md).
_AGREES_PER_SHARED, _AGREES_LESS = 0.8, 0.06
# Where the loudest is low, a delay half a millisecond away fits it nearly as well, and what decides
# is treble that may be another source's. Set on that half, too: no wrong one stood out as far.
_LEAST_STANDS_OUT = 2.25

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Relation:
    """What is known of two clips together.

    `best` is the delay that fits best, however badly; None where there is none, and `refused` says
    why. Only `delay_s` and `polarity` may be stated: they are None where there is a doubt.
    `shared` is the coherence of the two, 0 to 1, weighted by their power: how much of the one is a
    steady filtering of the other. `cut_s` is by how much further into its recording the second
    begins, which is no delay of the sound. `packing` is what the files leave open of the time, and
    `remark` what is taken for granted of them. `drift_ppm`: by how many parts in a million the
    second grows later; the delay is that in the middle of what was read of it.
    `direct`: one of them is a DI, which hears no other source, so that only one can be in both.
    `borne_out`: what hears nothing, such as a tape measure, gives the same delay.
    """

    best: Delay | None
    shared: float
    refused: str = ""
    cut_s: float = 0.0
    packing: UnclearTiming | None = None
    remark: str = ""
    drift_ppm: float = 0.0
    direct: bool = False
    borne_out: bool = False

    @property
    def one_performance(self) -> bool | None:
        """Whether both hold one performance; None where it is neither clearly one nor clearly
        two."""
        if self.best is None:
            return None
        if self.shared >= ONE:
            return True
        return False if self.shared < TWO else None

    @property
    def doubt(self) -> UnclearTiming | None:
        """Why delay and polarity are not stated; None where they are."""
        if self.best is None:
            return unreadable(self.refused)
        if self.one_performance is False:
            return TWO_PERFORMANCES
        # After the question whether it is one performance: of two the confidence says nothing.
        if self.best.confidence < CERTAIN:
            return RIVAL
        if self.best.either_polarity:
            return EITHER_POLARITY
        if not self.is_the_wanted:
            if self.two_sources:
                return TWO_SOURCES
            if self.best.stands_out < _LEAST_STANDS_OUT:
                return LOUDEST_OPEN
        return self.packing or (
            NOT_BEGUN_TOGETHER if abs(self._between(self.best)) > REACH_S else None
        )

    @property
    def is_the_wanted(self) -> bool:
        """Whether something else than the sound says that the delay is of the source that is
        measured, and not of another that both hear."""
        return self.direct or self.borne_out

    @property
    def two_sources(self) -> bool:
        """Whether the loudest of it may come from somewhere else than what the delay is of."""
        if self.best is None:
            return False
        least = _AGREES_PER_SHARED * self.shared - _AGREES_LESS
        return self.best.agreed < least

    @property
    def is_certain(self) -> bool:
        return self.doubt is None

    @property
    def likeliest_s(self) -> float | None:
        """The delay that fits best, to be set against others and not to be stated."""
        return None if self.best is None else self._between(self.best)

    @property
    def caution(self) -> str:
        """What even a sure answer leaves open; empty where it leaves nothing."""
        return ANOTHER_SOURCE if self.is_certain and not self.is_the_wanted else ""

    @property
    def delay_s(self) -> float | None:
        """Positive when the sound is later in the second recording; None where not sure."""
        return self._between(self.best) if self.best and self.is_certain else None

    @property
    def polarity(self) -> int | None:
        """+1 or −1; None where that is not sure."""
        return self.best.polarity if self.best and self.is_certain else None

    @property
    def drift_words(self) -> str:
        """What a drift means for the delay that is stated; empty where there is none."""
        if not self.drift_ppm or not self.is_certain:
            return ""
        return Said(
            gettext_noop(
                "Their clocks run {ppm:.0f} parts in a million apart, as those of two recorders "
                "do: each second adds {ms:.2f} ms. What is stated holds in the middle, and says "
                "nothing of distances unless both began together."
            ),
            ppm=abs(float(self.drift_ppm)),
            ms=abs(float(self.drift_ppm)) / 1000,
        )

    @property
    def in_step_s(self) -> float:
        """How much later the second is to begin so that both play in step: of one performance the
        best that is known, sure or not (a period of a held tone is not heard); otherwise 0."""
        return self.best.delay_s if self.best and self.one_performance else 0.0

    def _between(self, best: Delay) -> float:
        return best.delay_s + self.cut_s


def relate(
    first: Samples, second: Samples, rates: tuple[float, float], *, cut_s: float = 0.0
) -> Relation:
    """Compare the first 30 s of each, brought to the lower of both rates.

    The delay is sought within 50 ms of none, as of two recordings that began together, and of where
    both agree best within ±2 s (±45 % of the shorter one). Raises ValueError for silence or less
    than 0.5 s of either.
    """
    rate = min(check_rate(each) for each in rates)
    sounds = _resampled(first, rates[0], rate), _resampled(second, rates[1], rate)
    thinned = _resampled(sounds[0], rate, _RATE), _resampled(sounds[1], rate, _RATE)
    shortest = min(map(len, thinned)) / _RATE
    if shortest < 0.5:  # noqa: PLR2004 - as delay_between asks
        raise ValueError(Said(gettext_noop("less than half a second cannot be aligned")))
    far_s = align(thinned[0], thinned[1], _RATE, min(_FAR_S, 0.45 * shortest)).delay_s
    # Near nothing first: of two recordings that began together only this can be a delay of the
    # sound; far away is for recordings that were started apart.
    places = [-cut_s] if abs(far_s + cut_s) < REACH_S else [-cut_s, far_s]
    relations = [replace(each, cut_s=cut_s) for each in _read(sounds, thinned, rate, places)]
    if not relations:
        raise ValueError(Said(gettext_noop("they have less than half a second in common")))
    best = relations[0]
    for other in relations[1:]:
        # What is no more than likely has to be near: a dying chord resembles itself far away.
        if other.one_performance and other.shared > best.shared + _BETTER:
            best = other
    return best


def _read(
    sounds: tuple[Real, Real], thinned: tuple[Real, Real], rate: float, places: Iterable[float]
) -> Iterable[Relation]:
    """What each place comes to; nothing of a place where too little is in both."""
    for place_s in places:
        ppm = drift_ppm(*_side_by_side(thinned[0], thinned[1], round(place_s * _RATE)), _RATE)
        second, thin = (undrifted(each, ppm) for each in (sounds[1], thinned[1]))
        try:
            delay = delay_between(sounds[0], second, rate, REACH_S, near_s=place_s)
        except ValueError:
            continue
        lag = round(delay.delay_s * _RATE)
        shared = _shared(*_side_by_side(thinned[0], thin, lag))
        yield Relation(delay, shared, drift_ppm=ppm)


def _resampled(samples: Samples, rate: float, new_rate: float) -> Real:
    """The mean of the channels over the first 30 s, without delay, at another rate."""
    mono = as_frames(samples)[: round(rate * LONGEST_S)].mean(axis=1)
    whole, aim = round(rate), round(new_rate)
    if whole == aim:
        return np.asarray(mono, dtype=np.float64)
    common = gcd(aim, whole)
    return np.asarray(
        scipy.signal.resample_poly(mono, aim // common, whole // common), dtype=np.float64
    )


def _side_by_side(a: Real, b: Real, lag: int) -> tuple[Real, Real]:
    a, b = a[max(0, -lag) :], b[max(0, lag) :]
    length = min(len(a), len(b))
    return a[:length], b[:length]


def _shared(a: Real, b: Real) -> float:
    """Magnitude-squared coherence over Welch segments, averaged with √(power · power).

    Less what as many segments of unrelated sounds have, so that short clips do not seem alike.
    """
    # At least seven segments, half over the next: from one alone the coherence is always 1.
    size = min(_SEGMENT, len(a) // 4)
    segments = (len(a) - size) // (size // 2) + 1
    with np.errstate(invalid="ignore", divide="ignore"):
        _, per_line = scipy.signal.coherence(a, b, _RATE, nperseg=size)
    per_line = unbiased(np.nan_to_num(per_line), averages_of(segments))
    weight = np.sqrt(
        scipy.signal.csd(a, a, nperseg=size)[1].real * scipy.signal.csd(b, b, nperseg=size)[1].real
    )
    total = float(weight.sum())
    return float(np.nansum(per_line * weight) / total) if total > 0 else 0.0
