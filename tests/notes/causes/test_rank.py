"""Causes of changes that scipy's filters make, which share no formula with the curves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import butter, resample_poly, sosfilt

from notes.causes.hearing import EXTRAS, TUNING, hear, hertz, semitone_wrapped
from notes.causes.kinds import ALL, air, angle
from notes.causes.rank import NOTHING, Cause, rank
from notes.causes.scatter import assumed, change_of, measured, pieces_of, together
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


def test_no_cause_is_ever_certain() -> None:
    sound = played()
    after = sosfilt(butter(2, 250, "high", fs=RATE, output="sos"), sound)
    shares = [each.share for each in rank(hear(sound, RATE), hear(after, RATE), ONE).causes]
    assert shares[0] < 0.9
    assert min(shares) > 0


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


def first(before: np.ndarray, after: np.ndarray) -> Cause:
    return rank(hear(before, RATE), hear(after, RATE), ONE).best


def test_the_tuning_is_read_and_named_in_cents() -> None:
    """More samples for the same sound, by a polyphase resampler: 1200 log2(101/102) cents."""
    sound = played()
    before, after = hear(sound, RATE), hear(resample_poly(sound, 102, 101), RATE)
    cents = 1200 * np.log2(101 / 102)
    assert after.extras[TUNING] - before.extras[TUNING] == pytest.approx(cents, abs=1)
    # Partials of this sound are lines, which move from band to band: all else stays.
    found = rank(before, replace(before, extras=before.extras + [0, 0, 0, 0, cents]), ONE).best
    assert found.key == "tuning"
    assert found.size is not None
    assert found.size.value == pytest.approx(cents, abs=3)
    assert "flatter" in found.size.words
    assert "colder" in found.size.words


def beats(seed: int, seconds: int = 4) -> np.ndarray:
    """Four strokes of noise a second."""
    t = np.arange(seconds * RATE) / RATE
    return np.random.default_rng(seed).standard_normal(len(t)) * np.exp(-(t % 0.25) / 0.06)


def chords(cents: float) -> np.ndarray:
    """Four triads by their note numbers (A = 69), equally tempered, with eight harmonics each."""
    t = np.arange(RATE) / RATE
    bars = [
        sum(
            np.sin(2 * np.pi * 440 * 2 ** ((note - 69 + cents / 100) / 12) * harmonic * t)
            / harmonic
            for note in triad
            for harmonic in range(1, 9)
        )
        for triad in ((45, 52, 57), (41, 48, 53), (43, 50, 55), (45, 52, 60))
    ]
    return np.concatenate(bars)


def test_the_tuning_is_read_beside_strokes_three_times_as_strong() -> None:
    heard = []
    for cents, seed in ((0, 1), (-18, 2)):
        played_, struck = chords(cents), beats(seed)
        struck *= 3 * np.sqrt((played_**2).mean() / (struck**2).mean())
        heard.append(hear(played_ + struck, RATE).extras[TUNING])
    # Of harmonics the third, fifth and seventh lie 2 to 31 cents beside the semitone in both.
    assert heard[1] - heard[0] == pytest.approx(-18, abs=2)


def test_strokes_alone_have_no_tuning() -> None:
    assert not any(np.isfinite(hear(beats(seed), RATE).extras[TUNING]) for seed in range(10))


def test_a_semitone_apart_is_read_to_the_nearer_side() -> None:
    assert semitone_wrapped(np.array([98.0, -51.0, 20.0])) == pytest.approx([-2.0, 49.0, 20.0])


def test_what_cuts_peaks_off_is_told_from_what_turns_loud_notes_down() -> None:
    sound = played(1, "bass_line")
    assert first(sound, 0.1 * np.tanh(10 * sound)).key == "clipping"
    # A compressor of 3 : 1 on loud and soft: slow against a period, quick against a note.
    sound = sound * np.where(np.arange(len(sound)) // (RATE // 2) % 2, 0.3, 1)
    power = sosfilt(butter(1, 8, fs=RATE, output="sos"), sound**2)
    loud = np.maximum(np.sqrt(np.maximum(power, 0)) / 0.02, 1)
    assert first(sound, sound * loud**-0.67).key == "compression"


def test_a_microphone_off_the_axis_loses_what_the_sum_over_a_cone_says() -> None:
    """Every point of a cone of 0.13 m, far away at 45°, added up: no formula of the curve's."""
    spin = np.random.default_rng(1)
    far, turn = 0.13 * np.sqrt(spin.uniform(size=20_000)), spin.uniform(0, 2 * np.pi, 20_000)
    across = far * np.cos(turn) * np.sin(np.pi / 4)
    low = [hz for hz in hertz() if hz < 1700]
    summed = [20 * np.log10(abs(np.exp(2j * np.pi * hz / 343.2 * across).mean())) for hz in low]
    off = [each for each in angle.KIND.sizes(np.array(low)) if each.way == "off"]
    assert min(np.abs(each.bands - summed).max() for each in off) < 0.5


def test_air_takes_what_the_standard_tabulates() -> None:
    """ISO 9613-1, 20 °C and 50 %: 105 dB a kilometre at 8 kHz (table, from memory)."""
    found = [
        each for each in air.KIND.sizes(np.array([8000.0])) if each.words.startswith("about 40")
    ]
    # The larger of the two is that of the damper room.
    assert max(each.bands[0] for each in found if each.way == "more") == pytest.approx(
        -4.2, abs=0.2
    )


def test_every_kind_says_what_it_does_to_all_that_is_heard() -> None:
    for kind in ALL:
        assert kind.tells.endswith(".")
        assert len(kind.loose) == len(EXTRAS)
        for size in kind.sizes(hertz()):
            assert size.bands.shape == hertz().shape
            assert len(size.extras) == len(EXTRAS)
            assert np.isfinite(size.bands).all()


def test_what_differs_is_told_where_it_does() -> None:
    sound = played()
    after = sosfilt(butter(2, 250, "high", fs=RATE, output="sos"), sound)
    told = rank(hear(sound, RATE), hear(after, RATE), ONE).counted
    lows = told[hertz() < 126]
    assert (lows[np.isfinite(lows)] < -3).all()
    assert np.isfinite(lows).any()
    assert not np.isfinite(told[hertz() > 700]).any()


def test_a_band_that_sank_into_its_noise_is_told_to_be_lower() -> None:
    sound = played()
    cut = sosfilt(butter(8, 200, "high", fs=RATE, output="sos"), sound)
    one, other = hear(sound, RATE), hear(cut, RATE)
    gone = np.isfinite(one.errors) & np.isinf(other.errors)
    assert gone.any()
    assert (rank(one, other, ONE).change[gone] < -20).all()
    # And the other way round; of what rose out of sight of both nothing is known.
    assert (rank(other, one, ONE).change[gone] > 20).all()
    noisier = replace(other, levels=np.where(gone, one.levels + 3, other.levels))
    assert np.isnan(rank(one, noisier, ONE).change[gone]).all()


def test_other_notes_of_one_sound_scatter_less_by_like_moments() -> None:
    """One bass line from three other bars: by whole levels against as it is read."""
    takes = [hear(played(seed, "bass_line"), RATE) for seed in range(4)]
    signed = together(takes[:3])
    whole = (takes[3].levels - signed.levels)[np.isfinite(signed.errors + takes[3].errors)]
    like = change_of(signed, takes[3])
    assert np.std(like[np.isfinite(like)]) < np.std(whole)
    assert np.nanmedian(like) == pytest.approx(np.median(whole), abs=0.01)
