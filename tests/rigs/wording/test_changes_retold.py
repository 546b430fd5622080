"""What came or went, as a handover holds it in English, told in the language of the reader."""

from __future__ import annotations

from collections.abc import Iterator
from unittest import mock

import pytest
from django.utils import translation

from rigs.wording.changes import short_retold
from rigs.wording.values_retold import value_retold

WORDS = {
    "was added": "ist neu",
    "{name} was added": "neu: {name}",
    "also picks up {name}": "auch an {name}",
    "speaker cabinet": "Box",
    "as usual": "wie immer",
}


@pytest.fixture
def _in_german() -> Iterator[None]:
    def said(message: str) -> str:
        return WORDS.get(message, message)

    with (
        mock.patch("rigs.wording.changes._", said),
        mock.patch("rigs.wording.values_retold._", said),
        mock.patch("core.languages.words._", said),
    ):
        yield


@pytest.mark.usefixtures("_in_german")
@pytest.mark.parametrize(
    ("stored", "told"),
    [
        ("Was added", "Ist neu"),
        ("Was added: speaker cabinet, Tarn", "Ist neu: Box, Tarn"),
        ("Pin 1 was added: Gain of Head", "neu: Pin 1: Gain of Head"),
        ("Also picks up Rack tom", "Auch an Rack tom"),
        ("Gone to the workshop: ask Tam", "Gone to the workshop: ask Tam"),
        ("", ""),
    ],
)
def test_what_happened_is_told_and_names_stay(stored: str, told: str) -> None:
    assert short_retold(stored) == told


@pytest.mark.usefixtures("_in_german")
def test_only_values_of_ours_are_told() -> None:
    assert value_retold("as usual") == "wie immer"
    assert value_retold("speaker cabinet") == "speaker cabinet"


def test_values_are_told_by_the_words_of_their_field() -> None:
    with translation.override("fr"):
        assert value_retold("60 house left", "Pan") == "60 gauche du public"
        assert value_retold("reversed", "Polarity") == "inversée"
        assert value_retold("reversed", "Gain") == "reversed"
        assert value_retold("as I like it", "Pan") == "as I like it"
