"""Odds, orders and seals of blind trials, worked out without a database."""

from __future__ import annotations

import hashlib
import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from notes.listening.blind import Result, Round, by_guessing, holm, judge, make_order, seal


@given(st.integers(1, 40).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_odds_are_the_exact_binomial_of_scipy(counts: tuple[int, int]) -> None:
    right, rounds = counts
    expected = binomtest(right, rounds, 0.5, alternative="greater").pvalue
    assert float(by_guessing(right, rounds)) == pytest.approx(expected, rel=1e-12)


def test_odds_worked_by_hand() -> None:
    # Ten coins: 1 + 10 + 45 of 1024 ways to have eight or more heads.
    assert by_guessing(8, 10) * 1024 == 56
    assert by_guessing(5, 5) * 32 == 1
    with pytest.raises(ValueError, match="more right"):
        by_guessing(6, 5)


def alone(rounds: int, right: int) -> str:
    """What is said of one listener."""
    return judge([Result(rounds, right, 0, 0)], 1).each[0].words


@pytest.mark.parametrize(
    ("right", "said"), [(0, "100 %"), (2, "81 %"), (3, "50 %"), (4, "19 %"), (5, "3.1 %")]
)
def test_odds_in_words(right: int, said: str) -> None:
    # Of 32 ways: 32, 26, 16, 6 and 1.
    assert f"happens in {said} of trials" in alone(5, right)


def test_very_long_odds_stay_readable() -> None:
    # One way of 2¹³ is 0.0122 %, one of 2¹⁴ is 0.0061 %.
    assert "happens in 0.012 % of trials" in alone(13, 13)
    assert "happens in fewer than 0.01 % of trials" in alone(14, 14)


@pytest.mark.parametrize(
    ("chances", "expected"),
    [
        # The example of four that texts on Holm's method carry (from memory), and as below.
        ([0.01, 0.04, 0.03, 0.005], [0.03, 0.06, 0.06, 0.02]),
        # Worked out by multipletests(…, method="holm") of statsmodels 0.15.
        ([0.0107, 0.0547, 0.377, 0.0001], [0.0321, 0.1094, 0.377, 0.0004]),
        ([0.2, 0.011, 0.011, 0.9, 0.04], [0.4, 0.055, 0.055, 0.9, 0.12]),
        ([0.02, 0.03, 0.6, 0.6], [0.08, 0.09, 1.0, 1.0]),
        ([0.05, 0.05], [0.1, 0.1]),
        ([0.5], [0.5]),
    ],
)
def test_several_chances_after_holm(chances: list[float], expected: list[float]) -> None:
    raised = holm([Fraction(str(each)) for each in chances])
    assert [float(each) for each in raised] == pytest.approx(expected, abs=1e-6)


def test_what_several_heard_is_judged_at_once() -> None:
    """Ten rounds: 9 or more right come in 11 of 1024 ways, 8 in 56, 5 in 638 (binomial sums); of
    twenty, 17 or more in 1351 of 1048576. Three results: the least counts three times."""
    nine, eight, five = (Result(10, right, 0, 0) for right in (9, 8, 5))
    found = judge([nine, eight], 2)
    assert found.together is not None
    assert found.together.raised == 3 * Fraction(1351, 2**20)
    assert [each.raised for each in found.each] == [2 * Fraction(11, 1024), Fraction(56, 1024)]
    assert [each.told_apart for each in found.each] == [True, False]
    assert "counts as 2.1 % because 3 results are judged at once" in found.each[0].words
    # The same nine of ten among five listeners is no longer beyond luck: 6 · 11 of 1024.
    assert not judge([nine, five, five, five, five], 5).each[0].told_apart


def test_who_is_missing_keeps_a_place_and_takes_away_what_was_heard_together() -> None:
    found = judge([Result(10, 9, 0, 0)], 4)
    assert found.together is None
    assert found.each[0].raised == 5 * Fraction(11, 1024)
    with pytest.raises(ValueError, match="more have listened"):
        judge([Result(5, 5, 0, 0)] * 2, 1)


def test_orders_are_fair() -> None:
    drawn = make_order(4000, random.Random(7))
    for share in (
        sum(each.first == "a" for each in drawn),
        sum(each.x == "first" for each in drawn),
        sum(each.clip("x") == "a" for each in drawn),
    ):
        assert 1850 < share < 2150  # five standard deviations: 5 · √1000 ≈ 158


def test_the_seal_is_sha256_of_what_the_page_shows() -> None:
    order = [Round("a", "second"), Round("b", "first")]
    text = '{"nonce":"00ff","order":[["a","second"],["b","first"]]}'
    assert seal(order, "00ff") == hashlib.sha256(text.encode()).hexdigest()
    assert seal(order[::-1], "00ff") != seal(order, "00ff")
