"""What two people say of one unit, brought together: whoever touched a field alone is right."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rigs.tonight.meanwhile import Said, merged, read, written

VALUES = st.dictionaries(
    st.sampled_from(["tuning", "pack", "#Drive", "#Bass"]),
    st.tuples(st.sampled_from(["", "1:00", "2:00", "3:00"])),
)


@given(VALUES, VALUES)
def test_who_touched_nothing_has_what_the_other_made(shown: Said, other: Said) -> None:
    assert merged(shown, shown, other) == (other, [])
    assert merged(shown, other, shown)[1] == []
    assert merged(shown, other, shown)[0] == other


@given(VALUES, VALUES, VALUES)
def test_only_what_both_set_otherwise_is_asked(shown: Said, mine: Said, now: Said) -> None:
    both, asked = merged(shown, mine, now)
    for key in shown | mine | now:
        values = [each.get(key) for each in (shown, mine, now)]
        assert (key in asked) == (len(set(values)) == 3 and mine.get(key) is not None) or (
            # Taken out by one while the other changed it.
            key in asked and mine.get(key) is None
        )
        if key not in asked:
            assert both.get(key) in (mine.get(key), now.get(key))


@given(VALUES)
def test_what_is_written_is_read(said: Said) -> None:
    assert read(written(said)) == said


def test_what_was_made_up_says_nothing() -> None:
    for text in ("", "[", "[1]", "3", "null", '{"a": 1}', '{"a": "b"}'):
        assert read(text) == {}
