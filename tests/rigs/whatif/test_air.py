"""Delay and loss of a room's air, and how two rooms differ."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.whatif.air import Room, band_label, changes, in_words

# ISO 9613-2:1996 table 2, dB/km at 101.325 kPa as printed (read in public transcriptions).
BANDS = ("63", "125", "250", "500", "1k", "2k", "4k", "8k")
PRINTED = {
    (10, 70): (0.1, 0.4, 1, 1.9, 3.7, 9.7, 32.8, 117),
    (20, 70): (0.1, 0.3, 1.1, 2.8, 5, 9, 22.9, 76.6),
    (15, 20): (0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202),
    (15, 50): (0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129),
}


@pytest.mark.parametrize("air", PRINTED)
def test_losses_over_a_kilometre_are_those_of_the_standard(air: tuple[int, int]) -> None:
    losses = Room("Field", *air, None, 1000).losses
    assert losses is not None
    for band, printed in zip(BANDS, PRINTED[air], strict=True):
        assert losses[band] == pytest.approx(printed, abs=max(0.06, 0.015 * printed)), band


def test_the_difference_of_two_rows_of_the_table() -> None:
    dry, damp = Room("Dry", 15, 20, None, 50), Room("Damp", 15, 50, None, 50)
    difference = changes(damp, dry)
    assert difference is not None
    # 50 m of (129 - 202) dB/km at 8 kHz and of (36.2 - 88.8) dB/km at 4 kHz, as printed.
    assert difference["8k"] == pytest.approx(-3.65, abs=0.1)
    assert difference["4k"] == pytest.approx(-2.63, abs=0.03)


# c = 343.2 sqrt(T / 293.15), ISO 9613-1; the milliseconds of 41 m, computed outside the project.
@pytest.mark.parametrize(
    ("celsius", "ms"), [(0, 123.760), (10, 121.555), (20, 119.464), (30, 117.477)]
)
def test_delay_over_41_m(celsius: float, ms: float) -> None:
    delay = Room("Hall", celsius, None, None, 41).delay
    assert delay == pytest.approx(ms / 1000, abs=1e-6)


def test_without_humidity_the_delay_is_known_and_the_loss_is_not() -> None:
    room = Room("Hall", 20, None, None, 41)
    assert (room.losses, room.missing) == (None, ["humidity"])
    assert room.delay is not None
    assert changes(Room("Rehearsal", 20, 50, None, 4), room) is None


def test_cold_beyond_the_formulas_is_said() -> None:
    room = Room("Ice", -25, 50, None, 41)
    assert room.beyond == "−25 °C lies outside −20 to 50 °C, which the formulas cover."
    assert (room.speed, room.delay, room.losses) == (None, None, None)
    assert Room("Edge", -20, 50, None, 41).losses is not None


def test_pressure_not_stated_is_the_standard_atmosphere_and_said() -> None:
    silent, stated = Room("A", 20, 50, None, 40), Room("B", 20, 50, 101.325, 40)
    assert silent.losses == stated.losses
    words = "Air pressure not stated: 101.325 kPa assumed, the standard atmosphere."
    assert silent.assumes == words
    assert stated.assumes == ""
    assert Room("C", 20, 50, 80, 40).losses != stated.losses


def test_words_name_the_bands_that_matter_highest_first() -> None:
    difference = {"63": 0.0, "2k": 0.49, "4k": -1.24, "8k": -4.1}
    expected = "At 8 kHz 4.1 dB less, at 4 kHz 1.2 dB less than in the rehearsal room."
    assert in_words(difference, "the rehearsal room") == expected
    assert in_words({"8k": 0.5}, "Hall") == "At 8 kHz 0.5 dB more than in Hall."


def test_words_where_nothing_matters() -> None:
    assert in_words({"4k": 0.2, "8k": -0.4}, "the rehearsal room") == (
        "No octave band from 63 Hz to 8 kHz is 0.5 dB or more from what it is in "
        "the rehearsal room."
    )


def test_labels_of_bands() -> None:
    assert [band_label(band) for band in ("63", "8k")] == ["63 Hz", "8 kHz"]


@given(st.floats(-20, 50), st.floats(1, 100), st.floats(0, 500), st.floats(0, 500))
def test_the_way_there_is_the_way_back_with_the_other_sign(
    celsius: float, humidity: float, near: float, far: float
) -> None:
    a, b = Room("A", celsius, humidity, None, near), Room("B", 20, 50, None, far)
    there, back = changes(a, b), changes(b, a)
    assert there is not None
    assert back is not None
    assert all(there[band] == pytest.approx(-back[band]) for band in there)
