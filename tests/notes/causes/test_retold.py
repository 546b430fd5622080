"""What is kept of a cause is English; pages tell it in the language of the reader."""

from __future__ import annotations

import pytest
from django.utils import translation

from core.languages.words import told
from notes.causes.hearing import hertz
from notes.causes.kinds import ALL
from notes.causes.rank import Cause
from notes.causes.retold import NOTHING_BEYOND, READING, cause_told, reading_told
from notes.causes.words import named


@pytest.mark.parametrize("kind", ALL, ids=[kind.key for kind in ALL])
def test_every_cause_is_found_again_with_its_size(kind: object) -> None:
    sizes = kind.sizes(hertz())  # type: ignore[attr-defined]
    for size in (sizes[0], sizes[-1]):
        cause = Cause(kind.key, kind.label, 0.5, size=size)  # type: ignore[attr-defined]
        with translation.override("de"):
            assert cause_told(str(named(cause))) == told(named(cause)) != str(named(cause))


def test_a_reading_is_told_and_what_a_person_wrote_stays() -> None:
    kind = ALL[0]
    kept = READING.format(
        clip="Tonight: late",
        signed="As signed",
        differs="2.5 dB less at 1.6–2.5 kHz; 3.0 dB more at 80 Hz",
        cause=str(kind.label),
        tells=str(kind.tells),
    )
    with translation.override("de"):
        said = reading_told(kept)
        assert said.startswith("„Tonight: late“ gegen „As signed“")
        assert "2,5 dB weniger bei 1,6–2,5 kHz; 3,0 dB mehr bei 80 Hz" in said
        assert said.endswith(told(kind.tells))
        assert reading_told("Too much at 2.5 kHz") == "Too much at 2.5 kHz"
        assert reading_told(kept.replace("2.5 dB less", "a lot less")).count("a lot less") == 1
        nothing = READING.format(clip="A", signed="B", differs=NOTHING_BEYOND, cause="C", tells="D")
        assert "nothing" not in reading_told(nothing)
