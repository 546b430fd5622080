"""Which cause explains a difference best, with *nothing changed* and *none of these* among them.

Each cause says what each of its sizes does. How well a size explains what was measured is its
likelihood, the scatter of takes being the covariance (generalised least squares); that of a cause
is the mean over its sizes, so that one which could have done anything pays for it. The more
evidence a cause has, times what the history says of it, the further up it comes. Pure.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.causes.hearing import EXTRAS, TUNING, Heard, hertz, semitone_wrapped
from notes.causes.kind import Kind, Size
from notes.causes.kinds import ALL
from notes.causes.scatter import Scatter, change_of, covariance, neighbours

METHOD = "rank/5"
NOTHING, NONE = "nothing", "none"
# Before anything is heard: as likely unchanged as not, and one in ten that no kind here is it.
PRIOR_NOTHING, PRIOR_NONE = 0.5, 0.05
# How many times likelier a cause is that the history knows a change for: a convention of ours.
HISTORY = 6.0
# Of what the model alone called likely one in five was wrong on the half of the recordings that
# limits are set on (docs/measurements.md). So much of the evidence is spread over all, whatever the
# model says: nothing is ever certain.
MODEL_WRONG = 0.2
# What is more than this of the evidence is likely: 0.8 by the model alone.
LIKELY, POSSIBLE = 0.65, 0.1
# Of Student's t: the scatter of a few takes is itself known so badly.
FREEDOM = 8.0
# A difference is told where *nothing* has less of the evidence, and a band where so much of the
# evidence has it go one way by a decibel or more. Set on the half of the recordings that limits are
# set on.
TOLD_BELOW, TOLD_FROM, TOLD_DB = 0.2, 0.6, 1.0
_FREE_LEVEL_DB = 5.0  # playing level and gain are no part of most causes
_ANYTHING_DB, _ANYTHING_NEIGHBOURS = 5.0, 0.8
_ANYTHING_EXTRAS = (2.0, 2.0, 3.0, 1.5, 10.0)
_UNHEARD_DB = 1e3
# How surely a band that only one of two holds is read. Set on the half that limits are set on.
_SUNK_DB = 3.0

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cause:
    """`share` of the evidence, 0 to 1; `explains`: how much of the difference beyond scatter its
    best size takes away, 0 to 1; `low` and `high`: words of the ends of what it may come to."""

    key: str
    label: str
    share: float
    size: Size | None = None
    low: str = ""
    high: str = ""
    explains: float = 0.0
    tells: str = ""
    in_history: bool = False

    @property
    def verdict(self) -> str:
        if self.share >= LIKELY:
            return "likely"
        return "possible" if self.share >= POSSIBLE else "hardly"


@dataclass(frozen=True, slots=True)
class Ranking:
    """`causes` with the best first, *nothing* and *none* among them. `change`: tonight less signed
    per band, dB, NaN where not heard; `level`: the part of it all bands share; `band`: how far
    takes scatter by themselves, dB; `likeliest`: what is left of the difference without scatter,
    its level taken out, the mean over all causes by their evidence, and `sure`: how much of the
    evidence has the band go that way."""

    causes: tuple[Cause, ...]
    change: Real
    level: float
    band: Real
    scatter: Scatter
    likeliest: Real
    sure: Real
    # How much of the evidence *nothing* has by the model alone.
    unchanged: float

    @property
    def best(self) -> Cause:
        return self.causes[0]

    @property
    def tells(self) -> bool:
        """Whether anything is told to differ at all."""
        return self.unchanged < TOLD_BELOW

    @property
    def counted(self) -> Real:
        """What differs by more than takes do, dB, NaN where that is not sure; nothing counts
        where nothing may well have changed."""
        if not self.tells:
            return np.full(len(self.change), np.nan)
        told = np.isfinite(self.change) & (self.sure >= TOLD_FROM)
        return np.where(told, self.likeliest, np.nan)


@dataclass(frozen=True, slots=True)
class _Shape:
    """What a cause does to each band, dB, its level taken out, and how much of the evidence for it
    has the band go up or down by TOLD_DB or more."""

    middle: Real
    up: Real
    down: Real

    @classmethod
    def flat(cls, bands: int) -> _Shape:
        return cls(*np.zeros((3, bands)))

    @classmethod
    def of_sizes(cls, curves: Real, shares: Real, heard: NDArray[np.bool_]) -> _Shape:
        if not heard.any():
            return cls.flat(len(heard))
        shapes = curves - np.median(curves[:, heard], axis=1, keepdims=True)
        return cls(shares @ shapes, shares @ (shapes >= TOLD_DB), shares @ (shapes <= -TOLD_DB))

    @classmethod
    def mean(cls, shapes: Sequence[_Shape], shares: Real) -> _Shape:
        return cls(
            *(shares @ np.array([getattr(each, name) for each in shapes]) for name in cls.__slots__)
        )


def rank(
    signed: Heard,
    tonight: Heard,
    scatter: Scatter,
    *,
    history: Collection[str] = (),
    kinds: Sequence[Kind] = ALL,
) -> Ranking:
    """`history`: keys of kinds that a change since the signature points to."""
    change = _difference(signed, tonight, scatter)
    extras = change[-len(EXTRAS) :]
    kinds = [each for each in kinds if each.needs is None or np.isfinite(extras[each.needs])]
    spread = _covariance(scatter, signed, tonight)
    bands = len(hertz())
    measured = np.nan_to_num(change)
    weights = [kind.beforehand * (HISTORY if kind.key in history else 1.0) for kind in kinds]
    left = 1 - PRIOR_NOTHING - PRIOR_NONE
    # Where the history names changes, it is less likely that nothing changed.
    nothing = PRIOR_NOTHING / (2.0 if history else 1.0)
    heard = np.isfinite(change[:bands])
    logs, made, shapes = [], [], []
    for kind, weight in zip(kinds, weights, strict=True):
        cause, log, shape = _judge(kind, measured, spread, heard, in_history=kind.key in history)
        logs.append(log + np.log(left * weight / sum(weights)))
        made.append(cause)
        shapes.append(shape)
    logs.append(_likelihood(measured[None], spread)[0] + np.log(nothing))
    made.append(Cause(NOTHING, Said(gettext_noop("Nothing changed")), 0.0, explains=0.0))
    shapes.append(_Shape.flat(bands))
    logs.append(_likelihood(measured[None], _anything(spread, bands))[0] + np.log(PRIOR_NONE))
    made.append(Cause(NONE, Said(gettext_noop("None of these")), 0.0, explains=0.0))
    shapes.append(_smooth_shape(measured, spread, heard))
    shares = np.exp(np.array(logs) - np.logaddexp.reduce(logs))
    order = np.argsort(-shares, kind="stable")
    told = (1 - MODEL_WRONG) * shares + MODEL_WRONG / len(shares)
    causes = tuple(replace(made[at], share=float(told[at])) for at in order)
    unchanged = float(shares[[each.key for each in made].index(NOTHING)])
    shape = _Shape.mean(shapes, shares)
    level = float(np.median(change[:bands][heard])) if heard.any() else 0.0
    limit = np.sqrt(
        scatter.of_differences * scatter.bands**2 + np.minimum(_errors(signed, tonight), 99) ** 2
    )
    sure = np.where(shape.middle >= 0, shape.up, shape.down)
    return Ranking(causes, change[:bands], level, limit, scatter, shape.middle, sure, unchanged)


def _difference(signed: Heard, tonight: Heard, scatter: Scatter) -> Real:
    """Bands and EXTRAS, tonight less signed; NaN where it cannot be read."""
    with np.errstate(invalid="ignore"):
        bands = tonight.levels - signed.levels
    if scatter.played_anew:
        matching = change_of(signed, tonight)
        bands = np.where(np.isfinite(matching), matching, bands)
    bands = np.where(np.isfinite(_errors(signed, tonight)), bands, np.nan)
    extras = tonight.extras - signed.extras
    extras[TUNING] = semitone_wrapped(extras[TUNING])
    return np.concatenate([bands, extras])


def _errors(signed: Heard, tonight: Heard) -> Real:
    """Standard error of the difference of each band, dB; inf where it cannot be read. Where one of
    them has sunk into its noise, it has sunk by what is measured at least."""
    errors = np.hypot(signed.errors, tonight.errors)
    once = np.isfinite(signed.errors) != np.isfinite(tonight.errors)
    known = np.isfinite(signed.levels) & np.isfinite(tonight.levels)
    lower = (tonight.levels < signed.levels) == np.isfinite(signed.errors)
    return np.asarray(np.where(once & known & lower, _SUNK_DB, errors))


def _covariance(scatter: Scatter, signed: Heard, tonight: Heard) -> Real:
    whole = covariance(scatter, signed, tonight)
    errors = np.concatenate([_errors(signed, tonight) ** 2, np.zeros(len(EXTRAS))])
    unread = ~np.isfinite(errors)
    unread[-len(EXTRAS) :] |= ~np.isfinite(signed.extras - tonight.extras)
    # No weight is a variance beyond anything, the same for every cause.
    whole[unread, :] = 0.0
    whole[:, unread] = 0.0
    return np.asarray(whole + np.diag(np.where(unread, _UNHEARD_DB**2, errors)))


def _anything(spread: Real, bands: int) -> Real:
    """What a change that no kind describes might have done: smooth, and of any size in reason."""
    whole = spread.copy()
    whole[:bands, :bands] += _ANYTHING_DB**2 * (neighbours(bands, _ANYTHING_NEIGHBOURS) + 1.0)
    whole[bands:, bands:] += np.diag(np.square(_ANYTHING_EXTRAS))
    return whole


def _smooth_shape(measured: Real, spread: Real, heard: NDArray[np.bool_]) -> _Shape:
    """The likeliest shape of a change that no kind describes (Gaussian process regression)."""
    bands = len(heard)
    whole = _anything(spread, bands)
    before = (whole - spread)[:bands, :]
    gain = np.linalg.solve(whole, before.T).T
    # The level taken out, as of the others.
    less = np.eye(bands) - np.where(heard, 1.0, 0.0) / max(1, heard.sum())
    middle = less @ gain @ measured
    after = less @ (before[:, :bands] - gain @ before.T) @ less.T
    sd = np.sqrt(np.maximum(np.diag(after), 1e-6))
    up, down = (scipy.special.ndtr((way * middle - TOLD_DB) / sd) for way in (1, -1))
    return _Shape(middle, up, down)


def _judge(
    kind: Kind,
    measured: Real,
    spread: Real,
    heard: NDArray[np.bool_],
    *,
    in_history: bool,
) -> tuple[Cause, float, _Shape]:
    bands = len(heard)
    sizes, expected = _curves(kind)
    own = spread.copy()
    if not kind.keeps_level:
        own[:bands, :bands] += _FREE_LEVEL_DB**2
    own[:bands, :bands] += kind.loose_bands**2 * neighbours(bands, _ANYTHING_NEIGHBOURS)
    own[bands:, bands:] += np.diag(np.square(kind.loose))
    logs = _likelihood(measured - expected, own)
    shares = np.exp(logs - np.logaddexp.reduce(logs))
    at = int(np.argmax(logs))
    low, high = _interval(sizes, shares, sizes[at])
    whole, rest = (_misfit(each, own) for each in (measured, measured - expected[at]))
    cause = Cause(
        kind.key,
        kind.label,
        0.0,
        sizes[at],
        low.words,
        high.words,
        max(0.0, 1 - rest / whole) if whole > 0 else 0.0,
        kind.tells,
        in_history,
    )
    shape = _Shape.of_sizes(expected[:, :bands], shares, heard)
    return cause, float(np.logaddexp.reduce(logs) - np.log(len(sizes))), shape


@lru_cache(maxsize=64)
def _curves(kind: Kind) -> tuple[Sequence[Size], Real]:
    """The sizes of a kind, and what each does to bands and EXTRAS; worked out once."""
    sizes = tuple(kind.sizes(hertz()))
    return sizes, np.array([np.concatenate([each.bands, each.extras]) for each in sizes])


def _interval(sizes: Sequence[Size], shares: Real, best: Size) -> tuple[Size, Size]:
    """The sizes of the best one's way that hold nine tenths of what is likely."""
    same = [(size.value, at) for at, size in enumerate(sizes) if size.way == best.way]
    ordered = [at for _, at in sorted(same)]
    mass = np.cumsum(shares[ordered]) / max(shares[ordered].sum(), 1e-300)
    first, last = (int(np.searchsorted(mass, each)) for each in (0.05, 0.95))
    last = min(last, len(ordered) - 1)
    return sizes[ordered[first]], sizes[ordered[last]]


def _likelihood(rests: Real, spread: Real) -> Real:
    """Logarithm of the density of each row, shape (rows, values): Student's t, since the scatter is
    itself measured on few takes."""
    root = np.linalg.cholesky(spread)
    squares = (np.linalg.solve(root, rests.T) ** 2).sum(axis=0)
    freedom, values = FREEDOM, rests.shape[1]
    return np.asarray(
        -0.5 * (freedom + values) * np.log1p(squares / freedom) - np.log(np.diag(root)).sum()
    )


def _misfit(rest: Real, spread: Real) -> float:
    return float(rest @ np.linalg.solve(spread, rest))
