"""Mixes as plain values: what two people did at once, and what is signed.

The digest follows RFC 8785 (canonical JSON) and FIPS 180-4 (SHA-256), computed here with the
libraries json and hashlib. Orders that two people made are checked by their properties.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from notes.monitors.state import LEVELS, MixState, Want, digest_of, merge, problems
from notes.monitors.words import in_words, want_in_words

NAMES = {"input:1": "1 Kick", "input:2": "2 Vox", "rig:1": "all of Kit"}


def name(ref: str) -> str:
    return NAMES[ref]


def mix(*ids: str, **more: str) -> MixState:
    wants = tuple(Want(each, words=f"about {each}") for each in ids)
    return MixState("Wedge", player="p", wants=wants, **more)


def changed(state: MixState, which: str, **values: str) -> MixState:
    wants = (replace(w, **values) if w.id == which else w for w in state.wants)
    return replace(state, wants=tuple(wants))


def test_the_digest_is_that_of_canonical_json() -> None:
    state = mix("a")
    content = {
        "format": 1,
        "mix": "m",
        "number": 2,
        "state": state.plain(),
        "previous": "d",
    }
    # Of texts and whole numbers alone, sorted keys without spaces are RFC 8785.
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert digest_of("m", 2, state, "d") == hashlib.sha256(text.encode()).hexdigest()


def test_it_comes_back_from_plain_values() -> None:
    state = replace(mix("a"), wants=(Want("a", "as_loud", ("input:1", "rig:1"), "input:2", "so"),))
    assert MixState.from_plain(json.loads(json.dumps(state.plain()))) == state


def test_both_are_kept_where_each_touched_something_else() -> None:
    base = mix("a", "b")
    mine = changed(base, "a", words="mine")
    now = replace(changed(base, "b", words="theirs"), eq="2.5 kHz down")
    merged = merge(base, mine, now)
    assert merged.is_agreed
    assert merged.state.by_id["a"].words == "mine"
    assert merged.state.by_id["b"].words == "theirs"
    assert merged.state.eq == "2.5 kHz down"


def test_one_thing_changed_by_both_is_shown_and_mine_is_typed() -> None:
    base = mix("a", limiter="on")
    mine = replace(changed(base, "a", words="mine"), limiter="-6")
    now = replace(changed(base, "a", words="theirs"), limiter="-3")
    merged = merge(base, mine, now)
    assert {(each.field, each.mine, each.now) for each in merged.clashes} == {
        ("words", "mine", "theirs"),
        ("limiter", "-6", "-3"),
    }
    assert merged.state.by_id["a"].words == "mine"
    # What one and the same person did twice is no clash.
    assert merge(base, mine, now, same_person=True).is_agreed


def test_a_line_taken_out_while_another_changed_it_stays() -> None:
    base = mix("a", "b")
    mine = replace(base, wants=base.wants[:1])
    merged = merge(base, mine, changed(base, "b", words="theirs"))
    assert merged.kept == ("b",)
    assert merged.state.ids == ["a", "b"]


IDS = [f"w{n}" for n in range(6)]
orders = st.lists(st.sampled_from(IDS), unique=True)


@given(orders, orders, orders)
def test_nothing_that_either_put_in_is_lost(
    base: list[str], mine: list[str], now: list[str]
) -> None:
    merged = merge(mix(*base), mix(*mine), mix(*now))
    ids = merged.state.ids
    assert len(ids) == len(set(ids))
    new = (set(mine) | set(now)) - set(base)
    both = set(mine) & set(now)
    assert set(ids) == new | both


@given(orders, st.permutations(IDS))
def test_an_order_that_only_one_made_is_the_order(now: list[str], wanted: list[str]) -> None:
    base = mix(*IDS)
    assert merge(base, mix(*wanted), base).state.ids == wanted
    kept = [each for each in wanted if each in now]
    assert merge(mix(*now), mix(*kept), mix(*now)).state.ids == kept


@given(orders, orders)
def test_words_are_silent_only_where_nothing_differs(before: list[str], after: list[str]) -> None:
    assert bool(in_words(mix(*before), mix(*after), name, {})) == (before != after)


def test_each_level_has_words_of_its_own() -> None:
    said = {
        want_in_words(Want("a", level, ("input:1",), "input:2" if level == "as_loud" else ""), name)
        for level in LEVELS
    }
    assert said == {
        "more 1 Kick",
        "less 1 Kick",
        "no 1 Kick",
        "1 Kick as loud as 2 Vox",
        "just enough 1 Kick",
    }


def test_bad_lines_are_named_at_their_place() -> None:
    wants = (Want("a"), Want("b", "as_loud", ("input:1",)), Want("c", like="input:1", words="x"))
    wrong = problems(MixState("Wedge", wants=wants))
    assert set(wrong) == {"player", "a", "b", "c"}


def test_a_new_name_or_output_does_not_touch_what_was_signed() -> None:
    state = mix("a")
    assert state.sounds_like(replace(state, name="Wedge 2", output="Bus 4"))
    assert not state.sounds_like(replace(state, eq="less 400 Hz"))
    assert not mix("a", "b").sounds_like(mix("b", "a"))
