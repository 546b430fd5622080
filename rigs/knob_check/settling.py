"""Where all caps of a panel are together, once each has told by itself what it knows of its place.

A line across a cap tells where it is in both directions, a dot only how far its middle is from it.
What the slopes of each say (`refining.Fit.known`) is added up: the place of the first camera, seen
in the photo, and one height for each make are what fits all of them best (Gauss and Newton, with
less weight for what does not fit). Pure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rigs.knob_check.fitting import Fitted
from rigs.knob_check.parallax import Evidence, Rise, Vote
from rigs.knob_check.registration import Floats

FLOOR = 0.03  # radii that a cap may be off by what no slope tells
USUAL = (math.radians(8.0), math.radians(8.0), 0.3)  # what may be added to the guess, about
HEIGHT = 0.15  # of a logarithm: by which the voted height may be off
ALIKE, AHEAD = 0.7, 0.3  # of a fit, that its place counts
NOT_ROUND = 0.05  # what such a cap counts: walls are seen beside its narrow top
FAR = 6.0  # times what is expected: what is as far counts half
STEPS, STEP = 8, 1e-4
CAMERA = 3  # values of the first camera
LEAST_WITHIN, MOST_WITHIN = 0.02, 0.05  # radii


@dataclass(frozen=True)
class _Known:
    """What n caps of m makes know by themselves, in radii of each: `own`, where each would be,
    (n, 2), and how much it tells of that, `known`, (n, 2, 2). `at`: where they are on the
    reference, (n, 2) pixels; `groups`: the make of each, (n,); `heights` of each make, as voted,
    (m,); `backs`: from pixels of the photo to radii, (n, 2, 2).

    `values` are what is sought: what is added to the guess of the first camera (three), then the
    logarithm of what each make's height is times the voted one.
    """

    rise: Rise
    at: Floats
    groups: NDArray[np.int_]
    heights: Floats
    backs: Floats
    own: Floats
    known: Floats

    def heights_by(self, values: Floats) -> Floats:
        return np.asarray(self.heights * np.exp(values[CAMERA:]))

    def shifts(self, values: Floats) -> Floats:
        """How far each cap is from where a flat one would be, (n, 2) radii."""
        out = np.empty((len(self.at), 2))
        for group, height in enumerate(self.heights_by(values)):
            of = self.groups == group
            out[of] = self.rise.shifts(self.at[of], np.array([height]), values[None, :CAMERA])[0, 0]
        return np.asarray(np.einsum("nij,nj->ni", self.backs, out))

    def far(self, off: Floats) -> Floats:
        """How many times as far as it may be each is, squared, (n,)."""
        return np.asarray(np.einsum("ni,nij,nj->n", off, self.known, off))


def settled(
    rise: Rise,
    caps: Sequence[Evidence],
    fits: Sequence[Fitted],
    vote: Vote,
) -> tuple[Vote, list[float], list[float]]:
    """The vote made exact; by how many radii each place may be off; and how many times as far as
    it may be each cap would be by itself: one that is not as high as its make."""
    if not caps:
        return vote, [], []
    known = _known(rise, caps, fits, vote)
    values, spread = _fitting_best(known, vote.extra)
    shifts = known.shifts(values)
    within = np.clip(np.sqrt(spread), LEAST_WITHIN, MOST_WITHIN)
    strain = np.sqrt(known.far(known.own - shifts))
    high = known.heights_by(values)
    found = vote._replace(
        shifts=[each.search.raised @ shift for each, shift in zip(fits, shifts, strict=True)],
        heights=[float(high[group]) for group in known.groups],
        extra=values[:CAMERA],
    )
    return found, [float(each) for each in within], [float(each) for each in strain]


def _known(rise: Rise, caps: Sequence[Evidence], fits: Sequence[Fitted], vote: Vote) -> _Known:
    groups = np.array([cap.group for cap in caps])
    heights = np.ones(int(groups.max()) + 1)
    for group, height in zip(groups, vote.heights, strict=True):
        heights[group] = max(height, 1e-3)
    backs = np.linalg.inv(np.array([each.search.raised for each in fits]))
    alone = np.array([each.best.alone - each.search.flat for each in fits])
    return _Known(
        rise,
        np.array([cap.at for cap in caps]),
        groups,
        heights,
        backs,
        np.einsum("nij,nj->ni", backs, alone),
        np.array([_told_by(each) for each in fits]),
    )


def _told_by(fit: Fitted) -> Floats:
    """How much a cap tells of its place, (2, 2), a radius squared."""
    slope, best = fit.search.raised, fit.best
    counts = best.alike.max() >= ALIKE and fit.ahead >= AHEAD
    return _floored(slope.T @ best.known @ slope) * counts * (1.0 if fit.is_round else NOT_ROUND)


def _fitting_best(known: _Known, extra: Floats) -> tuple[Floats, Floats]:
    """The values that fit all caps best, from `extra` on; and by how many radii, squared, each
    place may still be off, (n,)."""
    values = np.append(extra, np.zeros(len(known.heights)))
    usual = np.append(USUAL, np.full(len(known.heights), HEIGHT))
    for _ in range(STEPS):
        base = known.shifts(values)
        moves = np.stack(
            [(known.shifts(values + row) - base) / STEP for row in STEP * np.eye(len(values))],
            axis=-1,
        )  # (n, 2, values)
        off = known.own - base
        weight = known.known / (1 + known.far(off) / FAR**2)[:, None, None]
        power = np.einsum("nia,nij,njb->ab", moves, weight, moves) + np.diag(1 / usual**2)
        slack = np.einsum("nia,nij,nj->a", moves, weight, off) - values / usual**2
        values = values + np.clip(np.linalg.solve(power, slack), -0.2, 0.2)
    return values, np.einsum("nia,ab,nib->n", moves, np.linalg.inv(power), moves) / 2


def _floored(known: Floats) -> Floats:
    """Not more than a place can be known at all."""
    values, ways = np.linalg.eigh(known)
    values = np.maximum(values, 0.0)
    return np.asarray((ways * (values / (1 + values * FLOOR**2))) @ ways.T)
