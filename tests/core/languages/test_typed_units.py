"""Units in words, after lengths and times, in each language. Common words of each language, no
source."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import translation

from core.durations import parse_duration, parse_minutes
from core.units import Length, parse_length


@pytest.mark.parametrize("reader", ["en-gb", "de", "ja"])
@pytest.mark.parametrize(
    ("text", "metres", "unit"),
    [
        ("2 1/2 Zoll", "0.0635", "in"),
        ("3 Fuß", "0.9144", "ft"),
        ("10 pulgadas", "0.254", "in"),
        ("1,5 mètres", "1.5", "m"),
        ("2 pouces", "0.0508", "in"),
        ("3 pieds 6 pouces", "1.0668", "ft"),
        ("５センチ", "0.05", "cm"),
        ("35ミリ", "0.035", "mm"),
        ("6 inches", "0.1524", "in"),
    ],
)
def test_lengths(text: str, metres: str, unit: str, reader: str) -> None:
    with translation.override(reader):
        assert parse_length(text) == Length(Decimal(metres), unit)


@pytest.mark.parametrize("text", ["3 Bananen", "3 分"])
def test_other_words_are_no_unit(text: str) -> None:
    with pytest.raises(ValueError, match="unknown unit"):
        parse_length(text)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("45 s", 45),
        ("45秒", 45),
        ("４：０５", 245),
        ("4分5秒", 245),
        ("4 min 5 s", 245),
        ("4 Min 5 Sek", 245),
        ("30 segundos", 30),
        ("30 secondes", 30),
    ],
)
def test_times(text: str, seconds: int) -> None:
    assert parse_duration(text) == seconds


@pytest.mark.parametrize(("text", "seconds"), [("3分", 180), ("2,5 Min", 150), ("3 minutos", 180)])
def test_minutes(text: str, seconds: int) -> None:
    assert parse_minutes(text) == seconds
