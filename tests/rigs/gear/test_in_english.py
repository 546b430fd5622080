"""Rules know usual controls by their own names, in whatever language somebody took them over."""

from __future__ import annotations

import pytest

import rigs.gear
from rigs.gear import GEAR, in_english


@pytest.fixture
def spoken(monkeypatch: pytest.MonkeyPatch) -> None:
    words = {"Limiter": "Begrenzer", "off, on": "aus, ein"}
    monkeypatch.setattr(
        rigs.gear, "in_every_language", lambda text: frozenset({text, words.get(text, text)})
    )


@pytest.mark.usefixtures("spoken")
def test_a_usual_control_and_its_position_are_found_in_another_language() -> None:
    assert in_english(GEAR["in_ear"], "Begrenzer", "aus") == ("Limiter", "off")


@pytest.mark.usefixtures("spoken")
def test_what_is_written_freely_stays_as_it_is() -> None:
    assert in_english(GEAR["in_ear"], "Begrenzer", "halb") == ("Limiter", "halb")
    assert in_english(GEAR["in_ear"], "Rauschsperre", "aus") == ("Rauschsperre", "aus")
