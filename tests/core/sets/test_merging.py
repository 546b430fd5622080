"""What two people do to one set at once: nothing of it is lost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from core.sets.merge import MINE, NOW, ORDER, TOGETHER, merge, moved, place
from core.sets.state import Line, State, problems
from core.sets.words import in_words


def state(ids: str, target: int | None = None, **changed: dict[str, Any]) -> State:
    lines = (replace(Line(i, song=f"song {i}"), **changed.get(i, {})) for i in ids)
    return State(tuple(lines), target)


def ids(of: State) -> str:
    return "".join(of.ids)


def test_a_note_and_a_move_go_together() -> None:
    merged = merge(state("abcd"), state("abcd", b={"note": "short intro"}), state("adbc"))
    assert merged.is_decided
    assert ids(merged.state) == "adbc"
    assert merged.state.by_id["b"].note == "short intro"


def test_two_orders_are_shown_and_not_guessed() -> None:
    merged = merge(state("abcd"), state("bacd"), state("abdc"))
    assert merged.orders is not None
    assert ["".join(o) for o in (merged.orders.mine, merged.orders.now, merged.orders.both)] == [
        "bacd",
        "abdc",
        "badc",
    ]
    for answer, order in ((MINE, "bacd"), (NOW, "abdc"), (TOGETHER, "badc")):
        decided = merge(state("abcd"), state("bacd"), state("abdc"), decided={ORDER: answer})
        assert decided.is_decided
        assert ids(decided.state) == order


def test_the_same_order_twice_is_no_conflict() -> None:
    assert merge(state("abc"), state("cab"), state("cab")).is_decided


def test_ones_own_two_orders_follow_each_other() -> None:
    merged = merge(state("abcd"), state("bacd"), state("abdc"), same_person=True)
    assert merged.is_decided
    assert ids(merged.state) == "badc"


def test_what_was_put_in_meanwhile_stays_in_its_place() -> None:
    assert ids(merge(state("abc"), state("cab"), state("axbc")).state) == "caxb"
    assert ids(merge(state("abc"), state("abxc"), state("cab")).state) == "cabx"


def test_a_line_taken_out_is_gone_unless_the_other_wrote_on_it() -> None:
    assert ids(merge(state("abc"), state("abc"), state("ac")).state) == "ac"
    merged = merge(state("abc"), state("ac"), state("abc", b={"note": "new"}))
    assert (ids(merged.state), merged.kept) == ("abc", ("b",))
    merged = merge(state("abc"), state("abc", b={"note": "new"}), state("ac"))
    assert (ids(merged.state), merged.kept) == ("abc", ("b",))


def test_two_values_of_one_field_are_asked_about() -> None:
    mine, now = state("a", a={"note": "slow"}), state("a", a={"note": "fast"})
    merged = merge(state("a"), mine, now)
    assert [(clash.key, clash.mine, clash.now) for clash in merged.clashes] == [
        ("a:note", "slow", "fast")
    ]
    for answer, note in ((MINE, "slow"), (NOW, "fast")):
        decided = merge(state("a"), mine, now, decided={"a:note": answer})
        assert decided.is_decided
        assert decided.state.by_id["a"].note == note


def test_two_lengths_wanted_are_asked_about() -> None:
    merged = merge(state("a", 60), state("a", 70), state("a", 80))
    assert [clash.key for clash in merged.clashes] == ["target"]
    assert merge(state("a", 60), state("a", 60), state("a", 80)).state.target_s == 80


orders = st.permutations(list("abcdefgh"))
choices = st.sampled_from([MINE, NOW, TOGETHER])


@given(orders, orders, choices)
def test_every_decision_is_a_permutation(mine: list[str], now: list[str], answer: str) -> None:
    base = state("abcdefgh")
    merged = merge(base, base.in_order(mine), base.in_order(now), decided={ORDER: answer})
    assert merged.is_decided
    assert sorted(merged.state.ids) == sorted(base.ids)


@given(orders, orders)
def test_whoever_did_not_reorder_takes_the_order_of_the_other(
    one: list[str], base: list[str]
) -> None:
    before = state("".join(base))
    after = before.in_order(one)
    assert merge(before, after, before).state.ids == one
    assert merge(before, before, after).state.ids == one


parts = st.lists(st.sampled_from("abcdefghij"), unique=True)


@given(parts, parts, parts, choices)
def test_nothing_that_somebody_put_in_or_left_is_lost(
    base: list[str], mine: list[str], now: list[str], answer: str
) -> None:
    three = [state("".join(each)) for each in (base, mine, now)]
    merged = merge(*three, decided={ORDER: answer})
    found = merged.state.ids
    assert len(found) == len(set(found))
    put_in = (set(mine) | set(now)) - set(base)
    left_by_both = set(mine) & set(now)
    assert set(found) == put_in | left_by_both


@given(orders, orders)
def test_moving_the_fewest_gives_the_order(before: list[str], after: list[str]) -> None:
    went = moved(before, after)
    stays = [each for each in before if each not in went]
    assert place(stays, after, set(went)) == after


def test_a_song_twice_is_a_reprise_or_refused() -> None:
    twice = State((Line("1", song="s"), Line("2", song="s")))
    assert problems(twice, {"s": "Early Bus"}) == {
        "2": "“Early Bus” is in the set already, at 1. If it is played once more, say so: reprise."
    }
    once_more = replace(twice, lines=(twice.lines[0], replace(twice.lines[1], reprise=True)))
    assert problems(once_more, {}) == {}


def test_changes_are_told_in_plain_words() -> None:
    titles = {f"song {i}": i.upper() for i in "abcdx"}
    before = state("abcd")
    after = state("bacx", 3600, c={"cut": True, "note": "next time"})
    assert in_words(before, after, titles) == [
        "“X” put in at 4.",
        "“D” taken out.",
        "“A” and “B” swapped.",
        "“C” cut.",
        "“C”: “next time”.",
        "Length wanted: 1:00:00.",
    ]
    assert in_words(before, before, titles) == []
    assert in_words(state("abcd"), state("bcda"), titles) == ["“A” moved to 4."]
