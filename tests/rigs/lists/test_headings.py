"""Headings of strangers' lists, and the units they say."""

from __future__ import annotations

import pytest

from rigs.lists.columns import guess, unit_of, with_unit
from rigs.lists.sheets import find_headings


@pytest.mark.parametrize(
    ("heading", "key", "unit"),
    [
        ("Dist. (cm)", "distance", "cm"),
        ("Height [in]", "height", "in"),
        ("HPF kHz", "high_pass_hz", "khz"),
        ("Gain, dB", "gain_db", "db"),
        ("Mic/DI", "device", ""),
        ("+48V", "phantom", ""),
        ("Input No.", "number", ""),
    ],
)
def test_a_heading_says_its_column_and_its_unit(heading: str, key: str, unit: str) -> None:
    assert (guess([heading]), unit_of(heading)) == ({0: key}, unit)


def test_two_headings_for_one_column_leave_the_second_out() -> None:
    assert guess(["Mic", "Device", "Wobble"]) == {0: "device"}


@pytest.mark.parametrize(
    ("key", "cell", "heading", "read"),
    [
        ("distance", "14,5", "Dist (cm)", "14,5 cm"),
        ("distance", "3 1/4", "Dist (in)", "3 1/4 in"),
        ("distance", "35 mm", "Dist (cm)", "35 mm"),
        ("distance", "a bit", "Dist (cm)", "a bit"),
        ("low_pass_hz", "12", "LPF (kHz)", "12k"),
        ("low_pass_hz", "12000", "LPF", "12000"),
        ("gain_db", "30", "Gain, dB", "30"),
    ],
)
def test_a_bare_number_has_the_unit_of_its_heading(
    key: str, cell: str, heading: str, read: str
) -> None:
    assert with_unit(key, cell, heading) == read


def test_headings_over_two_rows_are_read_as_one() -> None:
    grid = [["Ch", "Name", "Preamp", ""], ["", "", "Gain", "Pad"], ["1", "Kick", "30", ""]]
    assert find_headings(grid) == (["Ch", "Name", "Gain", "Pad"], 2)


def test_a_first_row_of_data_is_no_heading() -> None:
    grid = [["Ch", "Name", "Player"], ["1", "Kick", "Maud"]]
    assert find_headings(grid) == (["Ch", "Name", "Player"], 1)
