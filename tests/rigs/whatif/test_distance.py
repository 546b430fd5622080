"""A microphone nearer or further away."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.whatif.answers import ProposedValue
from rigs.whatif.distance import Partner, answer, first_notches, level_change

DI = Partner("Bass DI", inverted=False)

# Inverse square law, 20 log10 of the ratio; computed outside the project.
DROPS = [(1.5, 3.5218), (2, 6.0206), (3, 9.5424), (4, 12.0412), (10, 20.0)]

# tau ms, first and second null Hz, by path difference in m, at 343.2 m/s (20 °C); computed
# outside the project.
COMBS = [
    (0.1, 1716.00, 5148.00), (0.343, 500.29, 1500.87), (0.5, 343.20, 1029.60),
    (1, 171.60, 514.80), (3.432, 50.00, 150.00),
]  # fmt: skip


@pytest.mark.parametrize(("ratio", "drop"), DROPS)
def test_level_falls_by_the_inverse_square_law(ratio: float, drop: float) -> None:
    assert level_change(0.2, 0.2 * ratio) == pytest.approx(-drop, abs=1e-4)


@pytest.mark.parametrize(("path", "first", "second"), COMBS)
def test_notches_with_the_di(path: float, first: float, second: float) -> None:
    found = first_notches(path / 343.2, inverted=False)
    assert found[:2] == pytest.approx([first, second], abs=0.01)


def test_opposed_polarity_puts_the_notch_where_the_peak_was() -> None:
    # 1 m at 343.2 m/s: peak 1 at 343.20 Hz, which is the null of an inverted path.
    assert first_notches(1 / 343.2, inverted=True)[0] == pytest.approx(343.20, abs=0.01)


def test_answer_in_words_and_rows() -> None:
    proposal = ProposedValue("input", "x", "distance_m", "1 m")
    told = answer(0.5, 1.0, 20, DI, proposal)
    assert told.words == "6.0 dB less, and 1.46 ms later."
    assert told.tables[0].rows == (
        ("Distance", "500 mm", "1000 mm"),
        ("Delay", "1.46 ms", "2.91 ms"),
        ("First notches with Bass DI", "343 Hz, 1.03 kHz, 1.72 kHz", "172 Hz, 515 Hz, 858 Hz"),
    )
    assert told.assumes[1] == "Air at 20.0 °C."
    assert "First notches now: 343 Hz, 1.03 kHz, 1.72 kHz; then: 172 Hz" in told.drawing
    assert told.proposal == proposal


def test_no_di_on_the_source_is_said() -> None:
    told = answer(1.0, 0.5, 20)
    assert told.words == "6.0 dB more, and 1.46 ms earlier."
    assert told.problems[0] == "No DI on the same source: nothing to be late against."
    assert told.drawing == ""


def test_distance_not_measured_is_said_and_nothing_proposed() -> None:
    told = answer(None, 0.5, 20, DI, ProposedValue("input", "x", "distance_m", "1 m"))
    assert told.problems == ("The distance now is not measured: nothing to compare with.",)
    assert (told.words, told.proposal) == ("", None)


@pytest.mark.parametrize(("now", "then"), [(0, 0.5), (0.5, 0), (0, 0)])
def test_no_distance_has_no_level(now: float, then: float) -> None:
    told = answer(now, then, 20, DI)
    assert told.words.endswith("At no distance at all, no level can be worked out.")
    assert "none below 20 kHz" in told.tables[0].rows[2]


@given(st.floats(0.001, 100), st.floats(0.001, 100))
def test_there_and_back_is_nothing(a: float, b: float) -> None:
    there, back = level_change(a, b), level_change(b, a)
    assert there is not None
    assert back is not None
    assert there == pytest.approx(-back)
