"""An instrument retuned."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.whatif.tuning import Filter, Strings, StringsDiffer, answer, changed_by, read

# Unit weights of widely republished string charts (from memory, unverified) as kg/m, low to high,
# and T = mu (2 L f)^2 (Mersenne) for L = 25.5 in = 0.6477 m, computed outside the project.
MASSES = (6.8246e-3, 4.2795e-3, 2.2628e-3, 1.1433e-3, 6.6860e-4, 3.9555e-4)
STANDARD, NEWTONS = "E2 A2 D3 G3 B3 E4", (77.77, 86.89, 81.86, 73.70, 68.42, 72.12)
SET = Strings(0.6477, MASSES)


def test_tension_of_each_string_now_and_then() -> None:
    told = answer(STANDARD, read("D2 A2 D3 G3 B3 D4"), SET)
    tensions = [row[-1] for row in told.tables[0].rows]
    # .046 at D2: 61.73 N; .010 at D4: 57.24 N (same source). Two semitones: 2^(-1/3) = 0.794.
    assert tensions[0] == "77.8 N → 61.7 N (−20.6 %)"
    assert tensions[5] == "72.1 N → 57.2 N (−20.6 %)"
    assert tensions[1:5] == [f"{t:.1f} N → {t:.1f} N (0.0 %)" for t in NEWTONS[1:5]]
    assert told.tables[0].rows[0][:4] == ("6", "E2", "D2", "−2")


def test_total_pull_on_the_neck() -> None:
    told = answer(STANDARD, read("D2 A2 D3 G3 B3 D4"), SET)
    # 460.76 N as the sum of the table; 61.73 - 77.77 + 57.24 - 72.12 = -30.92 N.
    assert told.words == (
        "The lowest note goes from E2 to D2 (73.4 Hz). "
        "All strings together pull −30.9 N: 460.8 N now, 429.8 N then."
    )
    assert told.problems == ()


def test_without_masses_only_the_share_is_told() -> None:
    told = answer(STANDARD, read("Eb2 Ab2 Db3 Gb3 Bb3 Eb4"), Strings(0.6477, None))
    assert {row[-1] for row in told.tables[0].rows} == {"−10.9 %"}  # 2^(-1/6) = 0.8909
    assert told.problems == (
        "Newtons are not worked out: mass of each string (in the question) not stated.",
    )


def test_a_lowest_note_that_stays() -> None:
    told = answer(STANDARD, read("E2 A2 D3 G3 B3 D4"), Strings())
    assert told.words == "The lowest note stays E2 (82.4 Hz)."


def test_without_a_scale_length_it_is_said() -> None:
    told = answer(STANDARD, read(STANDARD), Strings(None, MASSES))
    assert told.problems == (
        "Newtons are not worked out: scale length (a figure of the unit) not stated.",
    )


def test_what_a_high_pass_takes_from_the_lowest_note() -> None:
    # Butterworth, -10 log10(1 + (fc/f)^2n), checked against scipy outside the project: at fc/2
    # -12.3045 dB (12 dB/octave) and -18.1291 (18); at fc -3.0103 for both. E1 is 41.203 Hz.
    told = answer("E2 A2", read("E1 A1"), Strings(), [Filter("Bass mic", 82.407)])
    assert told.tables[1].rows == (
        ("Bass mic: HPF 82.4 Hz", "E2: −3.0 dB to −3.0 dB", "E1: −12.3 dB to −18.1 dB"),
    )


@pytest.mark.parametrize(
    ("now", "words"),
    [
        ("", "The tuning now: not stated. Nothing to compare with."),
        ("as usual", "The tuning now: “as usual” does not read as notes. Nothing to compare with."),
    ],
)
def test_a_tuning_that_is_not_known_is_said(now: str, words: str) -> None:
    told = answer(now, read(STANDARD), SET)
    assert told.problems == (words,)
    assert told.proposal is None


@pytest.mark.parametrize(
    ("then", "strings", "about", "words"),
    [
        ("D2 A2", Strings(), "tuning", "The unit’s tuning names 6 strings, this one 2."),
        ("C-1 A2 D3 G3 B3 G9", Strings(), "tuning", "No string moves by more than 48 semitones."),
        (STANDARD, Strings(None, MASSES[:5]), "masses", "6 strings, but 5 masses."),
    ],
)
def test_strings_that_do_not_match(then: str, strings: Strings, about: str, words: str) -> None:
    with pytest.raises(StringsDiffer, match=words) as refused:
        answer(STANDARD, read(then), strings)
    assert refused.value.about == about


def test_a_tuning_by_name() -> None:
    assert read(" Guitar Drop D ") == read("D2 A2 D3 G3 B3 E4")


@given(st.integers(-24, 24))
def test_down_and_up_again_is_where_it_was(steps: int) -> None:
    assert (1 + changed_by(steps)) * (1 + changed_by(-steps)) == pytest.approx(1)
