"""Time allowed and dose of a day, against the tables of the rules themselves."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.whatif.exposure import Stretch, answer, duration

HOUR = 3600.0

# dBA, minutes by NIOSH 98-126, hours by the formula of OSHA 29 CFR 1910.95 Table G-16a (both seen
# in public transcriptions), in the words of the page.
ALLOWED = [
    (85, "8 h", "16 h (not counted)"),  # 480 min; 16.0000 h
    (88, "4 h", "10 h 33 min (not counted)"),  # 240 min; 10.5561 h
    (90, "2 h 31 min", "8 h"),  # 151.191 min; printed 8
    (92, "1 h 35 min", "6 h 4 min"),  # 95.244 min; 6.0629 h, printed 6
    (95, "47.6 min", "4 h"),  # 47.622 min; printed 4
    (100, "15.0 min", "2 h"),  # printed 2
    (102, "9.4 min", "1 h 31 min"),  # 9.449 min; 1.5157 h, printed 1.5
    (105, "4.7 min", "1 h"),  # 4.725 min; printed 1
    (110, "1.5 min", "30.0 min"),  # 1.488 min; printed 0.5
    (115, "28 s", "15.0 min"),  # 0.469 min, printed 28 s (from memory); printed 0.25
]


@pytest.mark.parametrize(("level", "niosh", "osha"), ALLOWED)
def test_time_allowed(level: float, niosh: str, osha: str) -> None:
    (row,) = answer([Stretch(level, HOUR)]).tables[0].rows
    assert row == (f"{level}.0 dBA", "1 h", niosh, osha)


def test_80_dba_is_more_than_a_day_and_79_is_not_counted() -> None:
    # NIOSH: 1523.905 min.
    rows = answer([Stretch(80, HOUR), Stretch(79, HOUR)]).tables[0].rows
    assert [row[2] for row in rows] == ["more than 24 h", "more than 24 h (not counted)"]


def test_dose_of_a_day_by_hand() -> None:
    # NIOSH: 94 dBA allows 1 h, 100 dBA 15 min: half an hour and 15 min are 150 %. OSHA: 4.5948 h
    # and 2 h, so 10.9 % and 12.5 %.
    told = answer([Stretch(94, HOUR / 2), Stretch(100, HOUR / 4)])
    assert [row[2] for row in told.tables[1].rows] == ["150 %", "23 %", "23 %"]
    assert told.words == "Of the day’s allowance: 150 % by NIOSH, 23 % by OSHA."


def test_below_90_dba_only_the_hearing_conservation_programme_counts() -> None:
    # 95 dBA allows 4 h, so 2 h are half; 88 dBA allows 10.5561 h, so 2 h are 18.9 %.
    told = answer([Stretch(95, 2 * HOUR), Stretch(88, 2 * HOUR)])
    assert [row[2] for row in told.tables[1].rows][1:] == ["50 %", "69 %"]


def test_level_brought_to_eight_hours() -> None:
    # Directive 2003/10/EC form, closed form: 94 dB for 2 h is 87.979.
    rows = answer([Stretch(94, 2 * HOUR)]).tables[2].rows
    assert rows == (("Over the 2 h entered", "94.0 dBA"), ("Normalised to 8 h", "88.0 dBA"))


def test_above_the_ceiling_no_time_is_allowed_and_it_is_said() -> None:
    # OSHA: over 115 dBA no continuous exposure.
    told = answer([Stretch(116, 1)])
    assert told.tables[0].rows[0][3] == "none"
    assert "116.0 dBA: OSHA allows no time at all above 115 dBA." in told.problems
    assert answer([Stretch(115, 1)]).problems == ()


@pytest.mark.parametrize(
    ("seconds", "said", "flagged"),
    [
        (2 * HOUR * 1.003, "100.3 %", True),  # 91 dBA allows 2 h by NIOSH: 8 h / 2^(6/3)
        (2 * HOUR * 1.00001, "just over 100 %", True),
        (2 * HOUR, "100 %", False),
        (2 * HOUR * 0.99999, "just under 100 %", False),
        (2 * HOUR * 0.997, "99.7 %", False),
        (2 * HOUR * 1.23, "123 %", True),
    ],
)
def test_rounding_never_hides_which_side_of_the_allowance(
    seconds: float, said: str, flagged: bool
) -> None:
    told = answer([Stretch(91, seconds)])
    assert told.tables[1].rows[0][2] == said
    assert (f"NIOSH: {said} of the day’s allowance is more than there is." in told.problems) == (
        flagged
    )


# Directive 2003/10/EC, Article 3(1): exposure limit value 87 dB(A), upper action value 85 dB(A),
# lower action value 80 dB(A), all brought to eight hours.
@pytest.mark.parametrize(
    ("level", "said"),
    [
        (87.1, "Normalised to 8 h, 87.1 dBA is above the exposure limit value of 87 dBA"),
        (87.001, "Normalised to 8 h, just over 87 dBA is above the exposure limit value of 87 dBA"),
        (87.0, "Normalised to 8 h, 87.0 dBA is at or above the upper exposure action value of 85"),
        (85.0, "Normalised to 8 h, 85.0 dBA is at or above the upper exposure action value of 85"),
        (80.0, "Normalised to 8 h, 80.0 dBA is at or above the lower exposure action value of 80"),
        (79.9, ""),
    ],
)
def test_a_day_above_a_value_of_the_directive_is_flagged(level: float, said: str) -> None:
    of_directive = [p for p in answer([Stretch(level, 8 * HOUR)]).problems if "Normalised" in p]
    assert len(of_directive) == (1 if said else 0)
    assert all(each.startswith(said) and "2003/10/EC" in each for each in of_directive)


def test_a_level_just_above_the_ceiling_is_not_shown_as_the_ceiling() -> None:
    told = answer([Stretch(115.04, 1)])
    assert "115.04 dBA: OSHA allows no time at all above 115 dBA." in told.problems


def test_it_is_stated_as_guidance() -> None:
    told = answer([Stretch(94, 1)])
    assert told.caution is not None
    assert told.caution.text.startswith("Local law decides")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "none"),
        (5, "5.0 s"),
        (59.6, "1.0 min"),
        (3599, "1 h"),
        (86_400, "24 h"),
        (86_401, "more than 24 h"),
    ],
)
def test_durations(seconds: float, words: str) -> None:
    assert duration(seconds) == words


@given(st.lists(st.tuples(st.floats(40, 140), st.floats(1, 4 * HOUR)), min_size=1, max_size=6))
def test_any_day_is_answered_and_conservation_counts_at_least_the_limit(day) -> None:
    _, limit, conservation = answer([Stretch(*each) for each in day]).tables[1].rows
    assert percent(conservation[2]) >= percent(limit[2])


def percent(words: str) -> float:
    """The figure in “just over 100 %”, “100.3 %” or “1,250 %”."""
    return float("".join(c for c in words if c.isdigit() or c == "."))
