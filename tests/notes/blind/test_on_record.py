"""What is kept of a blind trial is English; a page tells it in the language of the reader."""

from __future__ import annotations

import pytest
from django.utils import translation

from notes.blind.on_record import outcome_told
from notes.blind.services import begin, close
from tests.notes.blind.test_blind import blind, listen_to_the_end  # noqa: F401 - a fixture
from tests.support.world import World

STORED = (
    "No reliable difference heard: 6 of 9 right; by guessing alone that or better happens in 7.5 % "
    "of trials. One listener. 2 listeners began and stopped, after 3 of 9, 1 of 9 rounds. "
    "Preferred: “Gone. Further” in 1 round, “Near” in 4. It was blind trial 2 of these two clips: "
    "each more gives luck one more chance, so read all of them. Loudness was matched over whole "
    "clips, by an older method: as they are played, one of the two is 1.5 dB louder than the "
    "other, and that alone can be heard."
)


def test_each_sentence_is_told_in_the_language_of_the_reader() -> None:
    with translation.override("de"):
        told = outcome_told(STORED)
    assert "3 von 9, 1 von 9 Runden" in told
    assert "in 7,5 % der" in told
    assert "„Gone. Further“ in 1 Runde" in told
    assert "1,5 dB" in told
    assert "Blindvergleich 2" in told
    for english in ("listener", "round ", "louder", "heard"):
        assert english not in told
    assert outcome_told(STORED) == STORED


def test_what_somebody_wrote_stays() -> None:
    with translation.override("fr"):
        assert outcome_told("One listener. Ask Ines, she knows.") == (
            "Un auditeur. Ask Ines, she knows."
        )


@pytest.mark.parametrize("language", ["de", "es", "fr", "ja"])
def test_an_outcome_is_kept_in_english_and_told_whole(
    world: World,
    blind: object,  # noqa: F811 - the fixture
    language: str,
) -> None:
    listen_to_the_end(begin(blind=blind, by=world.tech), 2)  # type: ignore[arg-type]
    with translation.override(language):
        kept = close(blind=blind, by=world.engineer).outcome  # type: ignore[arg-type]
        told = outcome_told(kept)
    assert "listener" in kept
    for english in ("listener", "guessing", "heard", "right"):
        assert english not in told
