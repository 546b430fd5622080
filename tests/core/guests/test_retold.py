"""The history of links is stored in English, and told in the language of whoever reads it."""

from __future__ import annotations

import pytest
from django.utils import translation

from core.guests.links import Says
from core.models import GuestChange


@pytest.mark.parametrize(
    ("message", "figures", "in_german"),
    [
        (
            Says.SHARED,
            {"whom": "Hire firm", "day": "3 Dec 2026", "title": "Kettle: 2"},
            {"day": "3. Dez. 2026"},
        ),
        (Says.WITH_WORD, {}, {}),
        (Says.CLOSED, {"whom": "A: closed."}, {}),
        (Says.LEFT, {"name": "Vera"}, {}),
    ],
)
def test_what_happened_to_a_link_is_told_in_german(
    message: Says, figures: dict[str, str], in_german: dict[str, str]
) -> None:
    change = GuestChange(words=[message.in_english(**figures)])
    with translation.override("de"):
        assert change.told == [message.said(**{**figures, **in_german})]
        assert change.told != change.words
    assert change.told == change.words


def test_what_is_none_of_its_sentences_stays() -> None:
    change = GuestChange(words=["The link of the hire firm is closed."])
    with translation.override("de"):
        assert change.told == change.words
