"""The drums of a kit by pitch, and the intervals between neighbours."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.whatif.answers import ProposedValue
from rigs.whatif.kit import UNREAD, TunedDrum, answer, interval_words, intervals_of, read

KIT = [
    TunedDrum("k", "Kick", "D#1, beater side a shade looser"),
    TunedDrum("s", "Snare", "F#3 batter"),
    TunedDrum("r", "Rack tom", "A2"),
    TunedDrum("f", "Floor tom", "E2"),
]

# Equal temperament from A4 = 440 Hz (ISO 16, clause from memory): 440 · 2^((m − 69)/12) for MIDI
# 27, 54, 45 and 40, computed outside the project.
PITCHES = [
    ("D#1, beater side a shade looser", 38.8909),
    ("F#3 batter", 184.9972),
    ("A2", 110.0),
    ("E2/G2", 82.4069),
    ("98 Hz at the lug", 98.0),
    ("98,5Hz", 98.5),
]


@pytest.mark.parametrize(("written", "hertz"), PITCHES)
def test_pitches_as_crews_write_them(written: str, hertz: float) -> None:
    assert read(written) == pytest.approx(hertz, abs=1e-4)


@pytest.mark.parametrize("written", ["", "medium", "A", "about A2", "H2", "0 Hz", "99999 Hz", "98"])
def test_what_does_not_read(written: str) -> None:
    assert read(written) is None


def test_intervals_of_the_kit_low_to_high() -> None:
    told = intervals_of(KIT)
    # 27, 40, 45, 54: 13, 5 and 9 steps, by hand.
    assert told.tables[0].rows == (
        ("Kick", "D#1", "38.9 Hz", "the lowest"),
        ("Floor tom", "E2", "82.4 Hz", "13 semitones, an octave and a semitone"),
        ("Rack tom", "A2", "110 Hz", "5 semitones, a fourth"),
        ("Snare", "F#3", "185 Hz", "9 semitones, a major sixth"),
    )
    assert told.problems == ()


def test_unread_pitches_are_said_and_left_out() -> None:
    told = intervals_of(
        [*KIT[2:], TunedDrum("a", "Side drum", "medium"), TunedDrum("b", "Gong drum", None)]
    )
    assert told.problems == (
        "Side drum: “medium” begins with no note and no frequency.",
        "Gong drum: no pitch stated.",
    )
    assert [row[0] for row in told.tables[0].rows] == ["Floor tom", "Rack tom"]


def test_one_pitch_is_no_interval() -> None:
    told = intervals_of([TunedDrum("r", "Rack tom", "A2"), TunedDrum("f", "Floor tom", "low")])
    assert told.problems[-1] == "No interval without two pitches."
    assert told.tables[0].rows == (("Rack tom", "A2", "110 Hz", "the lowest"),)
    assert intervals_of([]).tables == ()


def test_a_drum_tuned_otherwise_then_and_now() -> None:
    proposal = ProposedValue("control", "c", "setting", "G2")
    told = answer(KIT, "r", "G2", proposal)
    assert told.words == "Rack tom goes from A2 to G2, down by 2 semitones, a whole tone."
    then, now = told.tables
    assert then.rows[2] == ("Rack tom", "G2", "98 Hz", "3 semitones, a minor third")
    assert now == intervals_of(KIT).tables[0]._replace(caption="Now, low to high")
    assert told.proposal == proposal


def test_a_drum_tuned_below_its_neighbour_changes_places() -> None:
    names = [row[0] for row in answer(KIT, "r", "C2", None).tables[0].rows]
    assert names == ["Kick", "Rack tom", "Floor tom", "Snare"]


def test_a_frequency_is_told_as_the_nearest_note_with_its_cents() -> None:
    # 12 log2(112 / 110) = 0.3119 semitones, computed.
    told = answer(KIT, "r", "112 Hz", None)
    assert told.words == "Rack tom goes from A2 to A2 +31 cents, up by 0.3 semitones."


def test_words_where_it_stays_and_where_nothing_stood() -> None:
    assert answer(KIT, "r", "A2 batter", None).words == "Rack tom stays at A2."
    told = answer([TunedDrum("r", "Rack tom", "high")], "r", "A2", None)
    assert told.words == "Rack tom would stand at A2."


def test_a_pitch_that_does_not_read_is_refused() -> None:
    with pytest.raises(ValueError, match=str(UNREAD)):
        answer(KIT, "r", "high", None)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        (0, "the same pitch"),
        (0.04, "the same pitch"),
        (1, "1 semitone, a semitone"),
        # 3:2 is 7.01955 semitones, a fifth within 5 cents (by hand).
        (7.01955, "7 semitones, a fifth"),
        (12, "12 semitones, an octave"),
        (24, "24 semitones, 2 octaves"),
        (27, "27 semitones, 2 octaves and a minor third"),
        (4.7, "4.7 semitones"),
    ],
)
def test_intervals_in_words(steps: float, words: str) -> None:
    assert interval_words(steps) == words


@given(st.lists(st.text(max_size=12), max_size=5))
def test_whatever_is_written_the_kit_is_told(written: list[str]) -> None:
    drums = [TunedDrum(str(n), f"Drum {n}", pitch) for n, pitch in enumerate(["A2", *written])]
    told = intervals_of(drums)
    unread = [words for words in told.problems if words.startswith("Drum ")]
    assert len(told.tables[0].rows) + len(unread) == len(drums)
