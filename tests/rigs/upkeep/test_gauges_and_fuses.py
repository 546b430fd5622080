"""How strings and fuses are written.

One inch is exactly 25.4 mm (international yard and pound agreement of 1959; NIST SP 811). Letters
of fuses: IEC 60127-1 and -2, from memory.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.gear.gauges import parse_gauges
from rigs.upkeep.fuses import read_fuse


def test_thousandths_of_an_inch() -> None:
    found = parse_gauges("10 13 17 26w 36w 46w")
    # 0.010 in is 0.254 mm, 0.046 in is 1.1684 mm.
    assert found.strings[0].metres == Decimal("0.000254")
    assert found.strings[5].metres == Decimal("0.0011684")
    assert [string.wound for string in found.strings] == [False, False, False, True, True, True]


@pytest.mark.parametrize(
    "written",
    ["10 13 17", "10-13-17", "10, 13, 17", "10,13,17", ".010 .013 .017", "0.010 0.013 0.017 in"],
)
def test_one_set_has_one_spelling(written: str) -> None:
    assert parse_gauges(written).text == "10 13 17"


def test_millimetres_say_so() -> None:
    found = parse_gauges("0,25 0.33w 0.43 mm")
    assert (found.text, found.strings[0].metres) == ("0.25 0.33w 0.43 mm", Decimal("0.00025"))


@pytest.mark.parametrize("written", ["", "mm", "light", "10 13 x", "1000", "2", "0.001 mm", "9 mm"])
def test_what_is_no_set_is_refused(written: str) -> None:
    with pytest.raises(ValueError, match=r"gauge|cannot be right"):
        parse_gauges(written)


SIZES = st.lists(
    st.tuples(st.integers(50, 2000).map(lambda n: Decimal(n) / 10), st.booleans()),
    min_size=1,
    max_size=24,
)


@given(SIZES)
def test_what_is_written_is_read_back(sizes: list[tuple[Decimal, bool]]) -> None:
    written = " ".join(f"{size}{'w' if wound else ''}" for size, wound in sizes)
    once = parse_gauges(written)
    assert parse_gauges(once.text) == once


@pytest.mark.parametrize(
    ("marking", "reads"),
    [
        ("T 1 A 250 V, slow", "time-lag, 1 A, 250 V"),
        ("T1AL250V", "time-lag, 1 A, low breaking capacity, 250 V"),
        ("F 315 mA H 250 V", "quick acting, 315 mA, high breaking capacity, 250 V"),
        ("FF 2,5 A", "very quick acting, 2.5 A"),
        ("TT 500 mA", "long time-lag, 500 mA"),
        ("5 × 20 mm, M 63mA", "medium time-lag, 63 mA"),
        ("mains fuse", ""),
        ("1 A", ""),  # how quick it is, is not said
        ("AFTER 1 A", ""),
    ],
)
def test_the_letters_of_a_fuse(marking: str, reads: str) -> None:
    assert read_fuse(marking) == reads
