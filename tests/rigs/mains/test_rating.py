"""Rating plates read, and units held against the mains of a house."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.mains.fit import Fit, House, Load, at_house
from rigs.mains.rating import Rating, Span, read_rating

EUROPE, AMERICA = House(230, 50), House(120, 60)


def spans(*pairs: tuple[float, float]) -> tuple[Span, ...]:
    return tuple(Span(*pair) for pair in pairs)


@pytest.mark.parametrize(
    ("plate", "rating"),
    [
        # Plates as IEC 62368-1 asks for them (from memory): hyphen for a range, solidus for a
        # selector.
        (
            "100–240 V, 50/60 Hz, 1.6 A",
            Rating(spans((100, 240)), spans((50, 50), (60, 60)), 1.6),
        ),
        ("100-240V~ 50-60Hz 1,5A", Rating(spans((100, 240)), spans((50, 60)), 1.5)),
        ("120/230 V AC, 160 W", Rating(spans((120, 120), (230, 230)), watts=160)),
        ("100-120/200-240 VAC", Rating(spans((100, 120), (200, 240)))),
        ("100 V - 240 V, 800 mA", Rating(spans((100, 240)), amps=0.8)),
        ("230 V 50 Hz 1.2 kW", Rating(spans((230, 230)), spans((50, 50)), watts=1200)),
        ("230 V, 60 VA", Rating(spans((230, 230)), volt_amps=60)),
        ("230 V, fuse T 1.6 A 250 V", Rating(spans((230, 230)))),
        ("24 V DC, 2 A", Rating(amps=2)),
        ("see the back", Rating()),
        ("", Rating()),
    ],
)
def test_a_plate_is_read(plate: str, rating: Rating) -> None:
    assert read_rating(plate) == rating


@given(st.text(max_size=60))
def test_any_words_are_read_without_an_error(words: str) -> None:
    for span in read_rating(words).volts:
        assert span.low <= span.high


@pytest.mark.parametrize(
    ("watts", "volts", "amps"),
    [
        # A 60 W lamp on 120 V takes 0.5 A: Hewitt, Conceptual Physics, 12th ed., chapter 23,
        # exercise 43.
        (60, 120, 0.5),
        # A 75 W lamp on 240 V takes 312.5 mA: the worked example of electropart.info, “Basic
        # concept of electricity: power”; its toaster of 1200 W takes 5 A there.
        (75, 240, 0.3125),
        (1200, 240, 5),
    ],
)
def test_current_of_watts(watts: float, volts: float, amps: float) -> None:
    found = at_house(Load(read_rating(f"{volts} V"), watts), House(volts, 50))
    assert found.amps == pytest.approx(amps)


@pytest.mark.parametrize(
    ("plate", "house", "fit"),
    [
        ("100–240 V", EUROPE, Fit.RUNS),
        ("100–240 V", AMERICA, Fit.RUNS),
        # 220 and 240 V gear on 230 V: within the 10 % of IEC 60038 (from memory).
        ("240 V", EUROPE, Fit.NEAR),
        ("110 V", AMERICA, Fit.NEAR),
        ("100 V", AMERICA, Fit.TRANSFORMER),
        ("230 V", AMERICA, Fit.TRANSFORMER),
        ("120 V", EUROPE, Fit.TRANSFORMER),
        ("120/230 V", EUROPE, Fit.SELECTOR),
        ("120/230 V", AMERICA, Fit.SELECTOR),
        ("", EUROPE, Fit.UNKNOWN),
        ("230 V", House(), Fit.UNKNOWN),
    ],
)
def test_whether_a_unit_runs_in_a_house(plate: str, house: House, fit: Fit) -> None:
    assert at_house(Load(read_rating(plate)), house).fit is fit


def test_a_transformer_keeps_the_power_and_has_room() -> None:
    """1.6 A at 230 V are 368 VA: 3.07 A at 120 V, and 552 VA with half as much again."""
    found = at_house(Load(read_rating("230 V, 50 Hz, 1.6 A"), 240), AMERICA)
    assert found.amps == pytest.approx(3.0667, abs=1e-4)
    assert found.transformer_va == 552
    assert found.words == "needs a transformer to 230 V of 552 VA or more"
    assert found.hz_differs


def test_a_selector_says_where_to_set_it() -> None:
    found = at_house(Load(read_rating("120/230 V")), EUROPE)
    assert found.words == "set its selector to 230 V before it is plugged in"


def test_other_hertz_are_said_only_where_the_plate_states_some() -> None:
    assert not at_house(Load(read_rating("230 V")), AMERICA).hz_differs
    assert not at_house(Load(read_rating("230 V, 50/60 Hz")), AMERICA).hz_differs
    assert not at_house(Load(read_rating("230 V, 50 Hz")), House(230)).hz_differs


def test_nothing_is_guessed_of_a_unit_without_figures() -> None:
    found = at_house(Load(read_rating("230 V")), AMERICA)
    assert (found.amps, found.transformer_va) == (None, None)
    assert found.words == "needs a transformer to 230 V"
