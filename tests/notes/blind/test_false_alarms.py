"""How often guessing is called hearing by whoever runs a trial and stops when it suits.

Guesses are drawn; the one who closes sees what the page shows and no more. By common practice one
in twenty is the most that guessing may be called hearing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import sqrt
from typing import NamedTuple

import numpy as np
import pytest
from scipy.stats import binom

from notes.listening.blind import THRESHOLD, Result, judge

TRIALS = 3000
ALLOWED = 0.05 + 3 * sqrt(0.05 * 0.95 / TRIALS)  # three standard errors of a share of 5 %


class Seen(NamedTuple):
    """What the page shows to the one who closes, who has listened first: the own right answers, how
    many are done, how many were to listen."""

    own: int
    rounds: int
    done: int
    listeners: int


def waits(_: Seen) -> bool:
    return False


def closes_when_it_suits(seen: Seen) -> bool:
    """As soon as the own result alone would be called hearing."""
    return bool(binom.sf(seen.own - 1, seen.rounds, 0.5) <= 0.05)


def closes_when_it_does_not(seen: Seen) -> bool:
    """While the own result is poor, before others make it worse."""
    return seen.own <= seen.rounds / 2


def closes_half_way(seen: Seen) -> bool:
    return seen.done * 2 >= seen.listeners


def called_hearing(right: Sequence[int], rounds: int, closes: Callable[[Seen], bool]) -> bool:
    """Listeners come one after the other until it is closed, or all have listened."""
    done: list[Result] = []
    for count in right:
        done.append(Result(rounds, int(count), 0, 0))
        if closes(Seen(int(right[0]), rounds, len(done), len(right))):
            break
    return judge(done, len(right)).told_apart


@pytest.mark.parametrize(
    "closes", [waits, closes_when_it_suits, closes_when_it_does_not, closes_half_way]
)
@pytest.mark.parametrize(("listeners", "rounds"), [(1, 10), (2, 10), (3, 12), (5, 16), (8, 5)])
def test_guessing_is_called_hearing_in_one_of_twenty_at_most(
    listeners: int, rounds: int, closes: Callable[[Seen], bool]
) -> None:
    drawn = np.random.default_rng([listeners, rounds]).binomial(rounds, 0.5, (TRIALS, listeners))
    alarms = sum(called_hearing(right, rounds, closes) for right in drawn)
    assert alarms / TRIALS <= ALLOWED


def test_the_same_simulation_finds_what_open_results_allowed() -> None:
    """Each line and the pool judged by themselves, closed as soon as one of them passes: this is
    what the page did, and it calls guessing hearing far too often."""
    alarms = 0
    for right in np.random.default_rng(1).binomial(10, 0.5, (TRIALS, 4)):
        pools = [(int(right[:n].sum()), 10 * n) for n in range(1, 5)]
        lines = [(int(each), 10) for each in right]
        alarms += any(binom.sf(k - 1, n, 0.5) <= float(THRESHOLD) for k, n in pools + lines)
    assert alarms / TRIALS > ALLOWED


def test_a_difference_that_is_there_is_still_heard() -> None:
    """Three who are right in nine of ten rounds: at least nineteen of twenty trials say so."""
    drawn = np.random.default_rng(2).binomial(10, 0.9, (500, 3))
    assert sum(called_hearing(right, 10, waits) for right in drawn) >= 475
