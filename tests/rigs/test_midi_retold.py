"""Messages that were stored in English, told in the language of the reader."""

from __future__ import annotations

import pytest
from django.utils import translation

from core.languages.choice import as_stored
from rigs.midi import message_text
from rigs.midi_retold import message_retold

UNIT = {"midi_channel": 3, "programs_from": "1"}


@pytest.mark.parametrize("language", ["de", "es", "fr", "ja"])
@pytest.mark.parametrize(
    "fields",
    [
        {"program": 11, "bank_msb": 0, "bank_lsb": 2},
        {"controller": 7, "amount": 100, "channel": 5},
        {"controller": 120, "amount": 0},
    ],
)
def test_a_message_is_told_as_it_would_be_said_now(fields: dict[str, int], language: str) -> None:
    with as_stored():
        stored = message_text(fields, UNIT)
    with translation.override(language):
        assert message_retold(stored) == message_text(fields, UNIT) != stored
