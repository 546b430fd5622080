"""A bare 10 is never guessed at; what is written keeps its meaning, on whatever scale it is read.

Angles are worked out by hand from the sweep of 300° between 7 and 5 o'clock (common practice, no
source): an hour of a clock face is 30°, and so is one number of a dial from 0 to 10.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rigs.dial_scales import (
    STYLES,
    Keep,
    Reading,
    Scale,
    changed_scale,
    how_read,
    in_full,
    possible,
)
from rigs.settings_of_controls import Style, angle_of, tidy_setting

CLOCK, NUMBERS = Reading.CLOCK, Reading.NUMBERS
ON_CLOCK, ON_TEN = Scale("clock"), Scale("dial")


@pytest.mark.parametrize(
    ("written", "ways"),
    [
        ("10", {CLOCK, NUMBERS}),  # 10 of 10, or 10 o'clock
        ("7", {CLOCK, NUMBERS}),
        ("2.30", {CLOCK, NUMBERS}),  # half past two, or 2.3
        ("6", {NUMBERS}),  # 6 o'clock is below the dial
        ("0", {NUMBERS}),
        ("6.5", {NUMBERS}),
        ("6,5", {NUMBERS}),
        ("10 of 10", {NUMBERS}),
        ("12", {CLOCK}),  # off a dial from 0 to 10
        ("2:30", {CLOCK}),
        ("10 o'clock", {CLOCK}),
        ("full", set()),
        ("", set()),
    ],
)
def test_in_which_ways_a_setting_can_be_read(written: str, ways: set[Reading]) -> None:
    assert possible(written) == ways


@pytest.mark.parametrize(
    ("texts", "numbered", "meant"),
    [
        (["10"], False, None),
        (["10", "7", "9"], False, None),
        (["10", "12"], False, CLOCK),
        (["10", "6.5"], False, NUMBERS),
        (["10", "6"], False, NUMBERS),
        (["10", "2:30"], False, CLOCK),
        (["10", "7 of 10"], False, NUMBERS),
        (["10"], True, NUMBERS),  # a guitar's own knob
        (["12"], True, NUMBERS),  # so this is refused, and no time
        (["10 o’clock"], True, CLOCK),
        (["", "  "], False, CLOCK),
        ([], True, NUMBERS),
    ],
)
def test_all_dials_of_a_unit_are_read_alike(
    texts: list[str], numbered: bool, meant: Reading | None
) -> None:
    assert how_read(texts, numbered=numbered) is meant


def test_what_somebody_said_counts() -> None:
    assert how_read(["10"], said=CLOCK, numbered=True) is CLOCK
    assert how_read(["10"], said=NUMBERS) is NUMBERS


@pytest.mark.parametrize(
    ("written", "scale", "words"),
    [
        ("10", ON_TEN, "10 of 10"),
        ("10", ON_CLOCK, "10 o’clock"),
        ("2.30", ON_CLOCK, "2:30"),
        ("7", Scale("dial", Decimal(0), Decimal(11)), "7 of 11"),
        ("35", Scale("value"), "35"),
    ],
)
def test_a_setting_says_what_it_is_counted_in(written: str, scale: Scale, words: str) -> None:
    assert in_full(written, scale) == words


@pytest.mark.parametrize(
    ("setting", "old", "new", "kept"),
    [
        # 2:30 is 75° right of straight up: (150 + 75) / 30 = 7.5 of 10.
        ("2:30", ON_CLOCK, ON_TEN, "7.5"),
        ("7.5", ON_TEN, ON_CLOCK, "2:30"),
        ("7:00", ON_CLOCK, ON_TEN, "0"),
        ("5:00", ON_CLOCK, ON_TEN, "10"),
        ("10:00", ON_CLOCK, ON_TEN, "3"),
        ("6", ON_TEN, ON_CLOCK, "1:00"),
        # Straight up is the middle of any scale.
        ("12:00", ON_CLOCK, Scale("dial", Decimal(-5), Decimal(5)), "0"),
        ("5", ON_TEN, Scale("dial", Decimal(0), Decimal(12)), "6"),
        ("", ON_CLOCK, ON_TEN, ""),
    ],
)
def test_the_pointer_stays(setting: str, old: Scale, new: Scale, kept: str) -> None:
    assert changed_scale(setting, old, new, Keep.POINTER) == kept


@pytest.mark.parametrize(
    ("setting", "old", "new", "kept"),
    [
        ("10:00", ON_CLOCK, ON_TEN, "10"),
        ("10", ON_TEN, ON_CLOCK, "10:00"),
        ("7:25", ON_CLOCK, ON_TEN, "7.25"),
        ("7.25", ON_TEN, ON_CLOCK, "7:25"),
        ("6.5", ON_TEN, Scale("dial", Decimal(0), Decimal(12)), "6.5"),
    ],
)
def test_the_figure_stays(setting: str, old: Scale, new: Scale, kept: str) -> None:
    assert changed_scale(setting, old, new, Keep.FIGURE) == kept


@pytest.mark.parametrize(
    ("setting", "old", "new", "said"),
    [
        ("12:00", ON_CLOCK, ON_TEN, "12 is off the dial"),
        ("6.5", ON_TEN, ON_CLOCK, "6.5 is not a clock position"),
        ("6", ON_TEN, ON_CLOCK, "points below the dial"),
    ],
)
def test_a_figure_that_cannot_stay_says_so(setting: str, old: Scale, new: Scale, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        changed_scale(setting, old, new, Keep.FIGURE)


TIMES = st.builds(
    lambda minute: f"{minute // 60 % 12 or 12}:{minute % 60:02d}",
    st.integers(7 * 60, 17 * 60),
)
NUMBERED = st.decimals(0, 10, places=2).map(str)
SCALES = st.one_of(
    st.just(ON_CLOCK),
    st.builds(
        lambda low, span: Scale("dial", low, low + span),
        st.decimals(-100, 100, places=1),
        st.decimals("0.1", 1000, places=1),
    ),
)


@given(st.one_of(TIMES, NUMBERED), st.sampled_from(list(Reading)))
def test_text_reading_text_keeps_the_meaning(written: str, reading: Reading) -> None:
    """What was read, said in full, is read in the same way by itself, and is the same setting."""
    style = STYLES[reading]
    scale = Scale(style)
    try:
        full = in_full(written, scale)
    except ValueError:
        assert reading not in possible(written)
        return
    assert how_read([full]) is reading
    kept = tidy_setting(style, full, None, None, "")
    assert kept == tidy_setting(style, written, None, None, "")
    assert tidy_setting(style, kept, None, None, "") == kept
    assert in_full(kept, scale) == full


@given(TIMES, SCALES, SCALES)
def test_keeping_the_pointer_keeps_the_angle(time: str, first: Scale, second: Scale) -> None:
    before = changed_scale(time, ON_CLOCK, first, Keep.POINTER)
    after = changed_scale(before, first, second, Keep.POINTER)
    angles = [
        angle_of(s.style, text, s.low, s.high) for s, text in ((first, before), (second, after))
    ]
    assert None not in angles
    assert abs(angles[0] - angles[1]) < 1 / 3  # type: ignore[operator]


@given(TIMES)
def test_a_clock_is_found_again_after_numbers(time: str) -> None:
    number = changed_scale(time, ON_CLOCK, ON_TEN, Keep.POINTER)
    assert changed_scale(number, ON_TEN, ON_CLOCK, Keep.POINTER) == time


@given(
    st.one_of(TIMES.map(lambda time: time.replace(":", ".")), NUMBERED, st.integers(0, 12).map(str))
)
def test_keeping_the_figure_reads_again_what_was_written(written: str) -> None:
    """A misreading is mended: what was written, read in the other way after all."""
    assume(possible(written) == {CLOCK, NUMBERS})
    time = tidy_setting(Style.CLOCK, written, None, None, "")
    number = tidy_setting(Style.DIAL, written, None, None, "")
    assert changed_scale(time, ON_CLOCK, ON_TEN, Keep.FIGURE) == number
    if written == number:  # 2.30 is kept as 2.3, which is no time any more
        assert changed_scale(number, ON_TEN, ON_CLOCK, Keep.FIGURE) == time
