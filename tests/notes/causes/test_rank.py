"""Causes of changes that scipy's filters make, which share no formula with the curves."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from notes.causes.hearing import hear, hertz
from notes.causes.rank import NOTHING, rank
from notes.causes.scatter import assumed, measured, pieces_of, together
from tests.support.captures import RATE, make_pair

ONE = assumed(one_performance=True)


def played(seed: int = 1, source: str = "driven_guitar") -> np.ndarray:
    return make_pair(source, seed).first


def test_a_high_pass_of_another_origin_is_named_first() -> None:
    sound = played()
    after = sosfilt(butter(2, 250, "high", fs=RATE, output="sos"), sound)
    found = rank(hear(sound, RATE), hear(after, RATE), ONE)
    assert found.best.key == "high_pass"
    assert found.best.size is not None
    assert found.best.size.value == pytest.approx(250, rel=0.3)
    assert found.best.size.way == "in"


@pytest.mark.parametrize("db", [-9.0, 7.0])
def test_gain_alone_is_named_with_its_size(db: float) -> None:
    sound = played()
    found = rank(hear(sound, RATE), hear(sound * 10 ** (db / 20), RATE), ONE)
    assert found.best.key == "gain"
    assert found.best.size is not None
    assert found.best.size.value == pytest.approx(db, abs=0.5)


def test_the_same_again_is_nothing() -> None:
    sound = played()
    again = sound + 1e-4 * np.random.default_rng(3).standard_normal(len(sound))
    found = rank(hear(sound, RATE), hear(again, RATE), ONE)
    assert found.best.key == NOTHING
    assert not found.tells
    assert not np.isfinite(found.counted).any()


def test_what_the_history_knows_comes_further_up() -> None:
    sound = played()
    # A gentle shelf, which several causes explain.
    after = sound + 0.4 * sosfilt(butter(1, 3000, "high", fs=RATE, output="sos"), sound)
    one, other = hear(sound, RATE), hear(after, RATE)
    without = {each.key: each.share for each in rank(one, other, ONE).causes}
    known = {each.key: each for each in rank(one, other, ONE, history={"strings": ""}).causes}
    assert known["strings"].in_history
    assert known["strings"].share > without["strings"]
    assert sum(each.share for each in known.values()) == pytest.approx(1)


def test_scatter_is_measured_from_three_takes_or_more() -> None:
    takes = [hear(played(seed, "bass_line"), RATE) for seed in range(3)]
    with pytest.raises(ValueError, match="three"):
        measured(takes[:2])
    alike = measured([takes[0]] * 4)
    apart = measured(takes)
    assert apart.bands.mean() > alike.bands.mean()
    assert apart.bands.shape == hertz().shape
    assert together([takes[0]] * 3).levels == pytest.approx(takes[0].levels)


def test_one_clip_serves_in_pieces_and_says_so() -> None:
    sound = np.concatenate([played(seed) for seed in range(2)])
    pieces = pieces_of(sound, RATE)
    assert len(pieces) == 5
    assert "pieces of one clip" in measured(pieces, pieces=True).words


def test_silence_and_scraps_are_refused() -> None:
    with pytest.raises(ValueError, match="silent"):
        hear(np.zeros(RATE), RATE)
    with pytest.raises(ValueError, match="half a second"):
        hear(np.ones(100), RATE)
