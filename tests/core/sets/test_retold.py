"""The history of a set is stored in English, and told in the language of whoever reads it."""

from __future__ import annotations

import pytest
from django.utils import translation

from core.models import SetChange
from core.sets.state import ENCORE, HEADING, NOTE, SONG, Line, State
from core.sets.words import Says, in_words

TITLES = {"a": "Salt Road", "b": "Early Bus cut"}


@pytest.mark.parametrize(
    ("message", "figures", "in_german"),
    [
        (Says.PUT_IN, {"line": "“Salt Road”", "at": "3"}, {"line": "„Salt Road“"}),
        (Says.REPRISE_PUT_IN, {"line": "“Salt Road”", "at": "3"}, {"line": "„Salt Road“"}),
        (Says.LASTS, {"line": "“Taken out.”", "length": "3:20"}, {"line": "„Taken out.“"}),
        (Says.STAYS, {"title": "Encore"}, {}),
        (Says.BEGUN, {"show": "3 Dec 2026 · May Hall"}, {"show": "3. Dez. 2026 · May Hall"}),
        (Says.AGAIN, {"at": "03 Dec 2026, 14:05", "name": "V"}, {"at": "3. Dez. 2026, 14:05"}),
    ],
)
def test_a_stored_sentence_is_told_in_german(
    message: Says, figures: dict[str, str], in_german: dict[str, str]
) -> None:
    change = SetChange(words=[message.in_english(**figures)])
    with translation.override("de"):
        assert change.told == [message.said(**{**figures, **in_german})]
        assert change.told != change.words
    assert change.told == change.words


def test_what_is_none_of_its_sentences_stays() -> None:
    change = SetChange(words=["Salt Road put in somewhere.", "Section “A” taken out"])
    with translation.override("de"):
        assert change.told == change.words


def test_everything_that_a_change_says_is_told_as_if_it_was_said_now() -> None:
    before = State(
        (
            Line("1", SONG, "a"),
            Line("2", HEADING, title="One"),
            Line("3", NOTE, title="Between songs"),
            Line("4", SONG, "b", note="loud"),
        ),
        target_s=600,
    )
    after = State(
        (
            Line("2", HEADING, title="Two"),
            Line("1", SONG, "a", cut=True, reprise=True, joined=True, note="cut.", length_s=200),
            Line("5", ENCORE, title="Encore"),
            Line("4", SONG, "b"),
        )
    )
    for one, other in ((before, after), (after, before)):
        change = SetChange(words=in_words(one, other, TITLES))
        with translation.override("de"):
            assert change.told == in_words(one, other, TITLES)
            assert not set(change.told) & set(change.words)
