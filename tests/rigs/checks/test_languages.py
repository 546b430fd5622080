"""Findings are read in the language of the reader, and known by the same signature in each."""

from __future__ import annotations

from dataclasses import replace

from django.utils import translation

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, not_measured
from rigs.checks.rules import slack_string


def test_a_signature_is_the_same_in_every_language() -> None:
    figure = Figure("gap", 0.125, "s")
    english = not_measured("a_rule", ["b"], "Kick", [slack_string.NO_GAUGES], "why")
    with translation.override("de"):
        german = not_measured("a_rule", ["b"], "Kick", [slack_string.NO_GAUGES], "why")
        assert figure.shown == "0,125 s"
        assert german.signature == english.signature
    assert figure.shown == "0.125 s"
    measured = replace(english, figures=(figure,))
    before = measured.signature
    with translation.override("de"):
        assert measured.signature == before
    assert german.figures[0].shown == str(slack_string.NO_GAUGES)
    assert Certainty.THUMB.words == Certainty.THUMB.value
