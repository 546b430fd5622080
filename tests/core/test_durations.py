"""Times as crews write them. Minutes of 60 seconds, hours of 60 minutes: ISO 8601."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.durations import LONGEST_S, format_duration, parse_duration
from core.forms.durations import DurationInput


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("4:05", 245),
        ("0:00", 0),
        ("0:59", 59),
        ("90:00", 5400),
        ("1:02:30", 3750),
        ("45 s", 45),
        ("45", 45),
        (" 45sec ", 45),
        ("24:00:00", 86400),
    ],
)
def test_read(text: str, seconds: int) -> None:
    assert parse_duration(text) == seconds


@pytest.mark.parametrize(
    "text", ["", "4:5", "4:60", "-3", "4.05", "soon", "1:70:00", "24:00:01", "99999", "٤:٠٥", ":30"]
)
def test_what_is_no_time(text: str) -> None:
    with pytest.raises(ValueError, match=r"not a time|longer than a day"):
        parse_duration(text)


@given(st.integers(0, LONGEST_S))
def test_what_is_shown_reads_back(seconds: int) -> None:
    assert parse_duration(format_duration(seconds)) == seconds


def test_shown() -> None:
    assert [format_duration(n) for n in (0, 9, 245, 3750, None)] == [
        "0:00",
        "0:09",
        "4:05",
        "1:02:30",
        "",
    ]


@pytest.mark.parametrize(
    ("initial", "typed", "changed"),
    [
        (245, "4:05", False),
        (245, "245", False),
        (None, "", False),
        ("", "", False),
        ("4:05", "4:05", False),
        (0, "", True),
        (0, "0:00", False),
        (245, "4:06", True),
        (245, "soon", True),
        (None, "0", True),
    ],
)
def test_a_field_notices_another_time_only(initial: object, typed: str, changed: bool) -> None:
    assert DurationInput().has_changed(initial, typed) is changed
