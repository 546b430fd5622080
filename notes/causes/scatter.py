"""How much takes of one unchanged sound differ from each other, measured from three or more. Pure.

What two clips differ in counts as a change only where it is more than takes do by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop, ngettext_lazy
from notes.causes.hearing import EXTRAS, TUNING, Heard, hear, hertz, semitone_wrapped
from notes.causes.moments import alike, matched, some
from notes.listening.samples import Samples, as_frames

METHOD = "scatter/4"
FEWEST = 3
SHORTEST_PIECE_S = 2.0
# What is taken where takes were not measured, in dB (standard deviation of one take): bands within
# one performance and between takes, level, and the EXTRAS. Set on the half of the recordings that
# limits are set on (docs/measurements.md).
ONE_PERFORMANCE = (0.35, 0.2, (0.15, 0.15, 0.6, 0.15, 0.4))
OTHER_TAKE = (1.6, 1.5, (1.0, 1.2, 2.0, 0.6, 6.0))
# Lows scatter more than the mean from take to take, and highs less.
_LOWS, _HIGHS, _LOWS_HZ, _HIGHS_HZ = 1.3, 0.75, 200.0, 1_250.0
# How like each other neighbouring bands are from take to take, a third of an octave apart.
NEIGHBOURS = 0.45
# And how much of it is what their moments show instead: which notes a take has moves what belongs
# to a note together. Set on the half of the recordings that limits are set on.
FOLLOWS_MOMENTS = 0.6
_KEPT_DECIMALS = 4
# The assumed scatter counts as much as so many measured takes.
_ASSUMED_COUNTS = 3.0

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scatter:
    """Standard deviations of one take, in dB: each band about the take's own level, the level, and
    the EXTRAS. `takes` of which it was measured, 0 where it is assumed; `pieces` of one clip;
    `played_anew`: whether it is the playing that differs, and not noise alone."""

    bands: Real
    level: float
    extras: Real
    takes: int = 0
    pieces: bool = False
    played_anew: bool = True

    @property
    def of_differences(self) -> float:
        """How many times the variance of one take that of a take against the mean of all is."""
        return 1 + 1 / max(1, self.takes)

    @property
    def untold(self) -> Real:
        """Less than this in a band stays untold between a take and the mean of all, dB: twice the
        standard deviation of that difference (normal distribution, about 95 %)."""
        return np.asarray(np.maximum(1.0, 2 * self.bands * np.sqrt(self.of_differences)))

    @property
    def words(self) -> str:
        """“measured on 3 clips of the signed sound”."""
        if self.takes == 0:
            return Said(
                gettext_noop("assumed, since there are not three takes of the signed sound")
            )
        if self.pieces:
            return ngettext_lazy(
                "measured on {n} piece of one clip",
                "measured on {n} pieces of one clip",
                self.takes,
            )
        return ngettext_lazy(
            "measured on {n} clip of the signed sound",
            "measured on {n} clips of the signed sound",
            self.takes,
        )


def assumed(*, one_performance: bool) -> Scatter:
    band, level, extras = ONE_PERFORMANCE if one_performance else OTHER_TAKE
    shape = np.interp(np.log(hertz()), np.log([_LOWS_HZ, _HIGHS_HZ]), [_LOWS, _HIGHS])
    return Scatter(
        band * (np.ones_like(shape) if one_performance else shape),
        level,
        np.array(extras),
        played_anew=not one_performance,
    )


def measured(takes: Sequence[Heard], *, pieces: bool = False) -> Scatter:
    """From three takes or more, drawn towards what is assumed, the more the fewer there are.

    Raises ValueError for fewer than three.
    """
    if len(takes) < FEWEST:
        raise ValueError("how takes scatter is measured from three or more")
    before = assumed(one_performance=False)
    levels = np.array([each.levels for each in takes])
    heard = np.array([np.isfinite(each.errors) for each in takes])
    loud = np.nanmean(np.where(heard, levels, np.nan), axis=1)
    shape = _apart(takes)
    # Over neighbours, too: a deviation of three values is itself uncertain by a third. And towards
    # the assumed shape at the scale of these takes, not towards its size.
    raw = _smooth(_pooled(shape, before.bands**2, 0.0))
    scale = float(np.mean(raw / before.bands**2))
    scale = (scale * len(takes) + 1) / (len(takes) + 1)
    bands = _pooled(shape, scale * before.bands**2)
    bands = _smooth(bands)
    extras = _variance(_extras(takes), before.extras**2)
    level = _variance(loud[:, None], np.array([before.level**2]))[0]
    return Scatter(np.sqrt(bands), float(np.sqrt(level)), np.sqrt(extras), len(takes), pieces)


def change_of(signed: Heard, tonight: Heard) -> Real:
    """By how many dB each band differs, NaN where one of them does not hold it: the shape of it by
    moments that are alike, since other notes are played; the level by the whole of both."""
    both = np.isfinite(signed.errors + tonight.errors)
    out = np.full(len(both), np.nan)
    if both.any():
        whole = (tonight.levels - signed.levels)[both]
        matching = matched(signed.moments[:, both], tonight.moments[:, both], whole)
        out[both] = matching - np.median(matching) + np.median(whole)
    return out


def _apart(takes: Sequence[Heard]) -> Real:
    """By how much each take lies from the mean of all, shape (takes, bands), its level taken out,
    read as a later clip is: against the others."""
    out = []
    for at, take in enumerate(takes):
        apart = change_of(together([*takes[:at], *takes[at + 1 :]]), take)
        known = np.isfinite(apart)
        out.append(apart - apart[known].mean() if known.any() else apart)
    # The mean of the others lies further from a take than that of all does.
    return np.array(out) * (1 - 1 / len(takes))


def pieces_of(samples: Samples, rate: float, most: int = 6) -> list[Heard]:
    """One clip in pieces of 2 s and more, as heard; what is silent left out."""
    frames = as_frames(samples)
    count = min(most, int(len(frames) / rate / SHORTEST_PIECE_S))
    out = []
    for piece in np.array_split(frames, count) if count else []:
        try:
            out.append(hear(piece, rate))
        except ValueError:
            continue
    return out


def together(takes: Sequence[Heard]) -> Heard:
    """Takes of one sound as one: the mean of what each holds."""
    errors = np.array([each.errors for each in takes])
    heard = np.isfinite(errors)
    count = heard.sum(axis=0)
    levels = np.where(heard, np.array([each.levels for each in takes]), 0).sum(axis=0)
    # A band that only few of them hold says little.
    enough = count > len(takes) / 2
    error = np.where(heard, errors, 0).sum(axis=0) / np.maximum(1, count) / np.sqrt(len(takes))
    extras = _extras(takes)
    known = np.isfinite(extras)
    with np.errstate(invalid="ignore"):
        extra = np.where(known, extras, 0).sum(axis=0) / known.sum(axis=0)
    return Heard(
        np.where(enough, levels / np.maximum(1, count), -np.inf),
        np.where(enough, error, np.inf),
        extra,
        sum(each.seconds for each in takes),
        # As many decimals as anybody needs: it is put on record.
        np.mean([each.moves for each in takes], axis=0).round(_KEPT_DECIMALS),
        some(np.concatenate([each.moments for each in takes])),
    )


def _extras(takes: Sequence[Heard]) -> Real:
    """Shape (takes, EXTRAS), tunings on one side of the half semitone so that they have a mean."""
    extras = np.array([each.extras for each in takes])
    tunings = extras[:, TUNING]
    known = tunings[np.isfinite(tunings)]
    if len(known):
        extras[:, TUNING] = known[0] + semitone_wrapped(tunings - known[0])
    return extras


def covariance(scatter: Scatter, *sounds: Heard) -> Real:
    """Of the differences in dB between a take and the mean of all: bands, then EXTRAS. `sounds`
    tell by their moments which bands move together."""
    count = len(scatter.bands)
    together = neighbours(count, NEIGHBOURS)
    if scatter.played_anew and sounds:
        seconds = [each.seconds for each in sounds]
        moved = np.average([each.moves for each in sounds], axis=0, weights=seconds)
        together = (1 - FOLLOWS_MOMENTS) * together + FOLLOWS_MOMENTS * alike(moved)
    whole = np.zeros((count + len(EXTRAS),) * 2)
    whole[:count, :count] = together * np.outer(scatter.bands, scatter.bands) + scatter.level**2
    whole[count:, count:] = np.diag(scatter.extras**2)
    return scatter.of_differences * whole


def neighbours(count: int, next_to: float) -> Real:
    """Correlation of bands, shape (count, count): `next_to` each other that much."""
    return np.asarray(next_to ** np.abs(np.subtract.outer(np.arange(count), np.arange(count))))


def _variance(values: Real, before: Real, counts: float = _ASSUMED_COUNTS) -> Real:
    """Sample variance along the first axis, with the assumed one as further evidence."""
    known = np.isfinite(values)
    mean = np.where(known, values, 0).sum(axis=0) / np.maximum(1, known.sum(axis=0))
    return _pooled(values - mean, before, counts)


def _pooled(apart: Real, before: Real, counts: float = _ASSUMED_COUNTS) -> Real:
    """The same of what each lies from the mean."""
    known = np.isfinite(apart)
    squares = np.where(known, apart**2, 0).sum(axis=0)
    freedom = np.maximum(0, known.sum(axis=0) - 1)
    return np.asarray((squares + counts * before) / np.maximum(1, freedom + counts))


def _smooth(values: Real) -> Real:
    padded = np.pad(values, 2, mode="edge")
    return np.convolve(padded, np.array([1, 2, 3, 2, 1]) / 9, mode="valid")
