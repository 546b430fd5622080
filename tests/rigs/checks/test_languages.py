"""Findings are read in the language of the reader, and known by the same signature in each."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.utils import translation
from django.utils.translation import trans_real

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, not_measured
from rigs.checks.rules import dangling_end, slack_string, supply
from tests.rigs.checks.laying import cable, only, unit


@pytest.fixture
def marked(monkeypatch: pytest.MonkeyPatch) -> None:
    """German in which every message begins with “ü”, whatever its catalogue says."""
    # Of its own: core.languages.quick remembers words with the catalogue they were found in.
    monkeypatch.setattr(trans_real, "_translations", {})
    catalogue = trans_real.translation("de")
    monkeypatch.setattr(catalogue, "gettext", lambda text: f"ü{text.split(chr(4))[-1]}")


def test_figures_are_written_as_the_reader_writes_them() -> None:
    figure = Figure("gap", 0.125, "s")
    finding = replace(not_measured("a_rule", ["b"], "Kick", ["tempo"], "why"), figures=(figure,))
    signature = finding.signature
    with translation.override("de"):
        assert figure.shown == "0,125 s"
        assert finding.signature == signature
    assert figure.shown == "0.125 s"


@pytest.mark.usefixtures("marked")
def test_words_of_figures_are_signed_in_english() -> None:
    def silent() -> str:
        pedal = unit("Pedal", "pedal")
        finding = only(dangling_end.check, unit("Amp", "combo"), pedal, cable("Amp", "Pedal"))
        return finding.signature

    english = silent()
    with translation.override("de"):
        assert silent() == english


@pytest.mark.usefixtures("marked")
def test_what_is_missing_is_read_in_german_and_signed_in_english() -> None:
    def asked() -> tuple[str, str, str]:
        brick = replace(unit("Brick", "power"), settings={"Outlet 1": "9 V"})
        wire = replace(cable("Brick", "Pedal", "power"), from_socket="1")
        finding = only(supply.check, brick, unit("Pedal", "pedal"), wire)
        return finding.title, finding.figures[0].shown, finding.signature

    title, missing, signature = asked()
    with translation.override("de"):
        german = asked()
    assert german[0] != title
    assert german[1] != missing
    assert german[2] == signature


@pytest.mark.usefixtures("marked")
def test_how_sure_it_is_and_what_is_asked_are_told_in_german() -> None:
    with translation.override("de"):
        assert Certainty.THUMB.words == f"ü{Certainty.THUMB.value}"
        assert str(slack_string.RULE.asks).startswith("ü")
