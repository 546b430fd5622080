"""Names of countries by language. Source of the expected names: the Unicode CLDR (from memory)."""

from __future__ import annotations

import pytest
from django.utils import translation

from core.countries import COUNTRIES, country_code, country_in_words


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("en-gb", "SE, Sweden"),
        ("de", "SE, Schweden"),
        ("es", "SE, Suecia"),
        ("fr", "SE, Suède"),
        ("ja", "SE、スウェーデン"),
    ],
)
def test_a_country_is_told_in_the_language_of_the_reader_and_read_in_each(
    language: str, told: str
) -> None:
    with translation.override(language):
        assert country_in_words("SE") == told
        assert country_in_words("XX") == "XX"
    assert country_code(told.partition(told[2])[2].upper()) == "SE"


@pytest.mark.parametrize("language", ["de", "es", "fr", "ja"])
def test_every_country_has_a_name_that_reads_back(language: str) -> None:
    with translation.override(language):
        for code in COUNTRIES:
            name = country_in_words(code)[3:].strip()
            assert name
            assert country_code(name) == code
