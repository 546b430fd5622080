"""How bands move together, on tones and noise whose loudness moves as is said here."""

from __future__ import annotations

import numpy as np
import pytest

from notes.causes.hearing import hear, hertz
from notes.causes.moments import alike, moves
from notes.causes.scatter import assumed, covariance

RATE = 48_000
SECONDS = 20
LOW, HIGH = np.array([90.0, 900.0, 3600.0]), np.array([112.0, 1120.0, 4500.0])


def loudness(seed: int) -> np.ndarray:
    """Another level every half second, as of notes."""
    steps = np.random.default_rng(seed).uniform(0.1, 1.0, SECONDS * 2)
    return np.repeat(steps, RATE // 2)


def tones(*loud: np.ndarray) -> np.ndarray:
    at = np.arange(SECONDS * RATE) / RATE
    pitches = zip(loud, (100, 1000, 4000), strict=True)
    return np.sum([each * np.sin(2 * np.pi * hz * at) for each, hz in pitches], axis=0)


def test_what_is_of_one_note_moves_together_and_nothing_else() -> None:
    one, other = loudness(1), loudness(2)
    got = alike(moves(tones(one, one, other), RATE, LOW, HIGH))
    assert got[0, 1] == pytest.approx(1.0, abs=0.02)
    assert abs(got[0, 2]) < 0.4


def test_it_tells_how_much_levels_of_takes_scatter() -> None:
    """Takes of noise that is another each half second: the scatter that their moments tell against
    that of sixty takes, simulated."""
    takes = [tones(*(loudness(30 * seed + part) for part in range(3))) for seed in range(60)]
    levels = [10 * np.log10((take**2).mean()) for take in takes]
    told = np.mean([moves(take, RATE, np.array([50.0]), np.array([9000.0])) for take in takes])
    assert np.sqrt(told) == pytest.approx(np.std(levels), rel=0.35)


def test_takes_follow_their_moments_and_one_performance_does_not() -> None:
    noise = np.random.default_rng(3).standard_normal(4 * RATE) * 0.1
    beats = hear(noise * np.repeat(np.random.default_rng(4).uniform(0.2, 1, 16), RATE // 4), RATE)
    far = (0, len(hertz()) - 1)
    of_takes = covariance(assumed(one_performance=False), beats, beats)
    without = covariance(assumed(one_performance=False))
    # All bands of it move with the beats.
    assert of_takes[far] > without[far] + 0.5
    once = assumed(one_performance=True)
    assert (covariance(once, beats, beats) == covariance(once)).all()


def test_a_sound_of_one_moment_moves_nowhere() -> None:
    assert not moves(np.ones(RATE // 4), RATE, LOW, HIGH).any()
    assert (alike(np.zeros((2, 2))) == np.eye(2)).all()
