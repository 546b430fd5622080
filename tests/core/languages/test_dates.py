"""Days as each language writes them. Source of the French ordinal: Imprimerie nationale, “Lexique
des règles typographiques” (from memory); of the others common usage, no source."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.utils import translation

from core.languages import dates


@pytest.mark.parametrize(
    ("language", "long", "short"),
    [
        ("en-gb", "1 December 2026", "1 Dec"),
        ("de", "1. Dezember 2026", "1. Dez."),
        ("es", "1 de diciembre de 2026", "1 dic"),
        ("fr", "1er décembre 2026", "1er déc."),
        ("ja", "2026年12月1日", "12月1日"),
    ],
)
def test_the_first_of_a_month(language: str, long: str, short: str) -> None:
    with translation.override(language):
        assert dates.long_day(date(2026, 12, 1)) == long
        assert dates.short_day(date(2026, 12, 1)) == short


def test_only_the_first_is_an_ordinal() -> None:
    with translation.override("fr"):
        assert dates.day(date(2026, 12, 21)) == "21 déc. 2026"
        assert dates.month(date(2026, 12, 1)) == "déc. 2026"
        assert dates.moment(datetime(2026, 12, 1, 12, tzinfo=UTC)).startswith("1er déc. 2026, ")
