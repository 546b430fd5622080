"""What an input picks up, worked out in one place."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rigs.picked_up import in_words, members_of, picked_up

UNITS = ("kick", "snare", "tom")
STATE: dict[str, Any] = {
    "kick": {"kind": "unit", "name": "Kick", "position": 0},
    "snare": {"kind": "unit", "name": "Snare", "position": 1},
    "tom": {"kind": "unit", "name": "Tom", "position": 2},
    "kit": {"kind": "group", "name": "the kit"},
    "m1": {"kind": "member", "group": "kit", "unit": "tom"},
    "m2": {"kind": "member", "group": "kit", "unit": "kick"},
    "over": {"kind": "input", "name": "Overhead"},
    "close": {"kind": "input", "name": "Close", "unit": "snare"},
    "s1": {"kind": "source", "input": "over", "group": "kit"},
    "s2": {"kind": "source", "input": "close", "unit": "tom"},
    "s3": {"kind": "source", "input": "close", "unit": "kick"},
}


def test_a_group_is_its_units_and_the_own_unit_comes_first() -> None:
    found = picked_up(STATE)
    assert (found["over"].chosen, found["over"].units) == (("kit",), ("kick", "tom"))
    assert found["over"].groups == {"kit": ("kick", "tom")}
    assert found["close"].units == ("snare", "kick", "tom")
    assert members_of(STATE) == {"kit": ("kick", "tom")}


def test_an_old_snapshot_without_sources_means_what_it_meant() -> None:
    old = {part: fields for part, fields in STATE.items() if fields["kind"] in ("unit", "input")}
    assert picked_up(old)["close"].units == ("snare",)
    assert picked_up(old)["over"].units == ()


def test_pointers_to_what_is_not_there_are_left_out() -> None:
    broken = {**STATE, "s4": {"kind": "source", "input": "over", "unit": "gone"}}
    assert picked_up(broken) == picked_up(STATE)


def test_words() -> None:
    names = {"a": "Kick", "b": "Snare", "c": "the brass"}
    assert [in_words(x, names) for x in ("", "a", "ab", "abc")] == [
        "",
        "Kick",
        "Kick and Snare",
        "Kick, Snare and the brass",
    ]


@given(st.lists(st.sampled_from([*UNITS, "kit"])), st.sampled_from([None, *UNITS]), st.randoms())
def test_each_unit_once_whatever_was_added_and_in_which_order(
    added: list[str], own: str | None, order: Any
) -> None:
    """Sources that were added twice, or through a group as well, count once."""
    parts: dict[str, Any] = {
        f"x{n}": {"kind": "source", "input": "over", ("group" if a == "kit" else "unit"): a}
        for n, a in enumerate(added)
    }
    state = {k: v for k, v in STATE.items() if v["kind"] != "source"} | parts
    state["over"] = {"kind": "input", **({"unit": own} if own else {})}
    shuffled = list(state.items())
    order.shuffle(shuffled)
    found = picked_up(dict(shuffled))["over"]
    assert found == picked_up(state)["over"]
    assert len(set(found.units)) == len(found.units)
    wanted = (
        {own} - {None} | (set(added) - {"kit"}) | ({"kick", "tom"} if "kit" in added else set())
    )
    assert set(found.units) == wanted
    assert own is None or found.units[0] == own
