"""How bands move together, on tones and noise whose loudness moves as is said here."""

from __future__ import annotations

import numpy as np
import pytest

from notes.causes.hearing import hear, hertz
from notes.causes.moments import alike, matched, moves, powers, some
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
    got = alike(moves(powers(tones(one, one, other), RATE, LOW, HIGH)))
    assert got[0, 1] == pytest.approx(1.0, abs=0.02)
    assert abs(got[0, 2]) < 0.4


def test_it_tells_how_much_levels_of_takes_scatter() -> None:
    """Takes of noise that is another each half second: the scatter that their moments tell against
    that of sixty takes, simulated."""
    takes = [tones(*(loudness(30 * seed + part) for part in range(3))) for seed in range(60)]
    levels = [10 * np.log10((take**2).mean()) for take in takes]
    whole = np.array([50.0]), np.array([9000.0])
    told = np.mean([moves(powers(take, RATE, *whole)) for take in takes])
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
    assert not moves(powers(np.ones(RATE // 4), RATE, LOW, HIGH)).any()
    assert (alike(np.zeros((2, 2))) == np.eye(2)).all()


def played_by(seed: int, count: int = 60) -> np.ndarray:
    """Levels of moments, dB: three chords of eight bands in another order and other shares."""
    spin = np.random.default_rng(seed)
    chords = np.random.default_rng(0).uniform(-30, 0, (3, 8))
    drawn = spin.choice(3, count, p=spin.dirichlet([1, 1, 1]))
    return np.asarray(chords[drawn] + spin.normal(0, 0.5, (count, 8)))


@pytest.mark.parametrize("did", [np.zeros(8), np.array([-6, -5, -3, 0, 0, 0, 0, 0])])
def test_like_moments_tell_a_change_where_means_tell_what_was_played(did: np.ndarray) -> None:
    means, likes = [], []
    for seed in range(20):
        signed, tonight = played_by(2 * seed), played_by(2 * seed + 1) + did
        whole = 10 * np.log10((10 ** (tonight / 10)).mean(0) / (10 ** (signed / 10)).mean(0))
        means.append(np.abs(whole - did).mean())
        likes.append(np.abs(matched(signed, tonight, whole) - did).mean())
    assert np.median(means) > 1.5
    assert np.median(likes) < 0.5


def test_as_many_moments_are_kept_of_long_sounds_as_of_thirty_seconds() -> None:
    levels = np.arange(1000.0)[:, None]
    assert len(some(levels[:200])) == 200
    assert some(levels)[[0, -1], 0].tolist() == [0, 999]
    assert len(some(levels)) == 240
