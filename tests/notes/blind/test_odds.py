"""Odds, orders and seals of blind trials, worked out without a database."""

from __future__ import annotations

import hashlib
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from notes.listening.blind import Result, Round, by_guessing, make_order, seal


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


@pytest.mark.parametrize(
    ("right", "said"), [(0, "100 %"), (2, "81 %"), (3, "50 %"), (4, "19 %"), (5, "3.1 %")]
)
def test_odds_in_words(right: int, said: str) -> None:
    # Of 32 ways: 32, 26, 16, 6 and 1.
    assert f"happens in {said} of trials" in Result(5, right, 0, 0).words


def test_very_long_odds_stay_readable() -> None:
    # One way of 2¹³ is 0.0122 %, one of 2¹⁴ is 0.0061 %.
    assert "happens in 0.012 % of trials" in Result(13, 13, 0, 0).words
    assert "happens in fewer than 0.01 % of trials" in Result(14, 14, 0, 0).words


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
