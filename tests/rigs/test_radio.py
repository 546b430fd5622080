"""What crews write of radio gear, read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.radio import HIGHEST, LOWEST, parse_radio, tidy_radio


# 863 to 865 MHz is a band of radio microphones in ERC Recommendation 70-03, annex 10 (from
# memory); the spellings are common practice, no source.
@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("863.125", "863.125 MHz"),
        ("863,1 MHz", "863.1 MHz"),
        ("863.100 mhz", "863.1 MHz"),
        ("863", "863 MHz"),
        ("2.4 GHz", "2400 MHz"),
        ("863125 kHz", "863.125 MHz"),
        ("G12 ch 4", "G12 ch 4"),
        ("g12 Ch. 4", "g12 ch 4"),
        ("ch 38", "ch 38"),
        ("group 2 channel 5", "G2 ch 5"),
        ("G12 ch 4, 863.125 MHz", "G12 ch 4, 863.125 MHz"),
        ("863,125 (ch 4)", "ch 4, 863.125 MHz"),
        ("", ""),
        ("  ", ""),
    ],
)
def test_what_crews_write_is_read(written: str, read: str) -> None:
    assert tidy_radio(written) == read


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("8o3.125", "“8o3.125” is no frequency and no channel"),
        ("the usual", "is no frequency and no channel. Write a frequency such as 863.125 MHz"),
        ("863.1.2", "is no frequency"),
        ("4", "can be a channel or MHz. Write ch 4 or 4 MHz"),
        ("863125", "863125 MHz, which no radio gear of a stage uses"),
        ("863 kHz", "0.863 MHz, which no radio gear"),
        ("-863", "is no frequency"),
        ("863.1, 863.2", "“863.2” is no frequency and no channel"),
    ],
)
def test_nonsense_is_refused_in_words(written: str, words: str) -> None:
    with pytest.raises(ValueError, match="^“") as refused:
        tidy_radio(written)
    assert words in str(refused.value)


@given(st.decimals(LOWEST, HIGHEST, places=3), st.sampled_from(["", " MHz", "MHz"]))
def test_a_frequency_is_kept_whatever_its_point_and_unit(mhz, unit) -> None:  # type: ignore[no-untyped-def]
    for text in (f"{mhz:f}{unit}", f"{mhz:f}{unit}".replace(".", ",")):
        read = parse_radio(text)
        assert read.mhz == mhz
        assert tidy_radio(read.text) == read.text
