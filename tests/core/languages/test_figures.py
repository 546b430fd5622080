"""Figures: with the decimal sign of the reader's language for the eye, with a full stop for
programs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.template import Context, Template
from django.utils import translation

from core.languages.words import without_unit
from core.money import figure, in_words
from core.units import (
    Quantity,
    format_both,
    format_length,
    format_ohms,
    format_temperature,
    format_weight,
    parse_length,
    parse_temperature,
    plain_length,
    quantity_text,
    temperatures_in,
)

D = Decimal


def test_what_is_read_by_people_has_the_sign_of_their_language() -> None:
    with translation.override("de"):
        assert format_length(D("0.0355"), "mm") == "35,5 mm"
        assert format_both(D("0.035"), "mm") == "35 mm (1,4 in)"
        assert format_both(D("-0.035"), "mm") == "−35 mm (−1,4 in)"
        assert format_temperature(D("-2.5")) == "−2,5 °C"
        assert format_ohms(D(4700)) == "4,7 kΩ"
        assert format_weight(D("21.4")) == "21,4 kg (47,2 lb)"
        assert quantity_text(Quantity(D("-12.50"), "dB")) == "−12,5 dB"
        assert in_words(D("1200.5"), "EUR") == "1200,50 EUR"
        shown = Template("{% load measures %}{{ value|number }}").render(Context({"value": 1.5}))
        assert shown == "1,5"
    with translation.override("ja"):
        assert format_length(D("0.0355"), "mm") == "35.5 mm"


@pytest.mark.parametrize("language", ["en-gb", "de", "es", "fr", "ja"])
def test_what_is_shown_reads_back(language: str) -> None:
    with translation.override(language):
        for unit, metres in (("mm", "0.0355"), ("in", "0.0635"), ("m", "24.25"), ("cm", "-0.075")):
            assert parse_length(format_length(D(metres), unit)) == (D(metres), unit)
        for celsius in ("-2.5", "21.5", "0", "40"):
            for scale in ("C", "F"):
                assert parse_temperature(format_temperature(D(celsius), scale)) == D(celsius)


def test_files_and_columns_are_the_same_in_every_language() -> None:
    with translation.override("de"):
        assert plain_length(D("0.0355"), "mm") == "35.5 mm"
        assert figure(D("1200.5"), "EUR") == "1200.50"


@pytest.mark.parametrize(
    ("language", "words", "read"),
    [
        ("de", "Bei 20,5 °C; −20 bis 50 °C.", "Bei 68,9 °F; −4 bis 122 °F."),
        ("fr", "De −20 à 50 °C, 3,5 m.", "De −4 à 122 °F, 3,5 m."),
        ("es", "De −20 a 50 °C.", "De −4 a 122 °F."),
        ("ja", "−20〜50 °Cの範囲", "−4〜122 °Fの範囲"),
        ("fr", "Jusqu’à 20\u00a0°C.", "Jusqu’à 68 °F."),
    ],
)
def test_temperatures_are_found_in_sentences_of_each_language(
    language: str, words: str, read: str
) -> None:
    with translation.override(language):
        assert temperatures_in(words, "F") == read


def test_the_unit_of_measure_goes_with_the_value_and_not_with_the_label() -> None:
    labels = ["HPF, Hz", "HPF（Hz）", "Pan"]  # noqa: RUF001
    assert [without_unit(label) for label in labels] == ["HPF", "HPF", "Pan"]
