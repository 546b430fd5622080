"""What counts as larger. Expected orders are the documented ones, written out by hand."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notes.signing.net_changes import Difference
from notes.signing.size import key_of, largest_first, size_of, turned
from rigs.changes.edits import WHOLE, Change
from rigs.dial_scales import Scale
from rigs.fields import Rank


def change(kind: str, field: str, old: object = "a", new: object = "b", part: str = "p") -> Change:
    return Change(part, kind, field, old, new)  # type: ignore[arg-type]


IN_ORDER = [
    change("input", "device", part="1"),
    change("input", "distance_m", "0.035", "0.2", part="2"),
    change("unit", WHOLE, None, {"kind": "unit"}, part="3"),
    change("control", "setting", "7:00", "5:00", part="4"),  # the whole 300 degrees
    change("control", "setting", "2:00", "3:00", part="5"),  # 30 degrees: an hour of a clock
    change("control", "setting", "2:00", "2:30", part="6"),  # 15
    change("input", "gain_db", "20", "30", part="7"),
    change("rig", "sound", "Warm.", "Warmer.", part="8"),
    change("unit", "notes", part="9"),
]


def test_the_documented_order() -> None:
    shuffled = [Difference(each, (1,)) for each in IN_ORDER]
    random.Random(7).shuffle(shuffled)
    assert [each.change for each in largest_first(shuffled)] == IN_ORDER


@pytest.mark.parametrize(
    ("old", "new", "scale", "degrees"),
    [
        ("2:30", "3:00", Scale(), 15),  # the hour hand of a clock: 0.5 degrees a minute
        ("11:00", "1:00", Scale(), 60),  # past twelve
        ("0", "10", Scale("dial"), 300),  # a numbered dial is spread over the same sweep
        ("1", "2", Scale("dial", Decimal(0), Decimal(5)), 60),
        ("off", "on", Scale("switch"), 300),
        ("", "2:00", Scale(), 300),
        ("not a dial", "2:00", Scale(), 300),
    ],
)
def test_how_far_a_dial_turned(old: str, new: str, scale: Scale, degrees: float) -> None:
    assert turned(old, new, scale) == pytest.approx(degrees)
    assert turned(new, old, scale) == pytest.approx(degrees)


def test_tuning_and_strings_are_the_instrument() -> None:
    assert size_of(change("unit", "tuning")).rank == Rank.GEAR
    assert size_of(change("spare", "gauges")).rank == Rank.GEAR
    assert size_of(change("spare", "carried")).rank == Rank.WORDS


def test_of_equals_the_newest_comes_first() -> None:
    old, new = Difference(IN_ORDER[0], (3,)), Difference(IN_ORDER[0]._replace(part="z"), (9,))
    assert largest_first([old, new]) == [new, old]


kinds = st.sampled_from(
    ["input", "unit", "rig", "control", "link", "fact", "photo", "spare", "pin", "unheard of"]
)
fields = st.sampled_from(
    [WHOLE, "device", "distance_m", "setting", "name", "gain_db", "sound", "style", "new field"]
)
values = st.sampled_from([None, "", "2:30", "5:59", "7", "on", "0.3"])
differences = st.builds(
    Difference,
    st.builds(Change, st.sampled_from("abcdef"), kinds, fields, values, values),
    st.tuples(st.integers(1, 50)),
)


@given(
    st.lists(
        differences, max_size=20, unique_by=lambda each: (each.change.part, each.change.field)
    ),
    st.randoms(use_true_random=False),
)
def test_the_order_is_total_whatever_order_they_came_in(
    found: list[Difference], chance: random.Random
) -> None:
    """No two differences of a rig have one key, so sorting has one outcome."""
    expected = largest_first(found)
    assert len({key_of(each) for each in found}) == len(found)
    mixed = list(found)
    chance.shuffle(mixed)
    assert largest_first(mixed) == expected
    assert largest_first(expected) == expected
    ranks = [size_of(each.change).rank for each in expected]
    assert ranks == sorted(ranks)
