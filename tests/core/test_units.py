"""Lengths, against NIST SP 811 (2008), B.8: 1 in = 25.4 mm and 1 ft = 0.3048 m, exactly."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.units import (
    METRES_PER,
    Length,
    format_both,
    format_length,
    format_ohms,
    format_temperature,
    in_unit,
    parse_length,
    parse_temperature,
    temperatures_in,
)

SIXTY_FOURTHS = st.integers(1, 64 * 400)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1 in", "0.0254"),  # NIST SP 811, B.8: inch, exact
        ("1 ft", "0.3048"),  # NIST SP 811, B.8: foot, exact
        ("12 in", "0.3048"),  # twelve inches to the foot
        ("1/64 in", "0.000396875"),  # 0.0254 / 64 = 0.000396875, a finite decimal
        ("3' 6\"", "1.0668"),  # 42 × 0.0254
        ("3 ft 6 in", "1.0668"),
        ("2 1/2 in", "0.0635"),  # 2.5 × 0.0254
        ("3'6", "1.0668"),  # the inches after feet need no sign
        ("3′ 6 1/2", "1.0795"),  # 42.5 × 0.0254
        ("½ in", "0.0127"),
        ("2½ in", "0.0635"),
        ('2 ½"', "0.0635"),
        ("2-1/2 in", "0.0635"),
        ("⅝ in", "0.015875"),
        ("3'6½", "1.0795"),
        ("35 mm", "0.035"),  # SI prefixes
        ("1,2 m", "1.2"),
        ("120cm", "1.2"),
        ("-5 mm", "-0.005"),
        ("−5 mm", "-0.005"),  # as this service shows it
        ("3'-6\"", "1.0668"),  # the hyphen of drawings is no minus
        ("3 ft - 6 in", "1.0668"),
        ("-3' 6\"", "-1.0668"),
        ("10''", "0.254"),
        ("4 ft. 6 in.", "1.3716"),  # 54 × 0.0254
    ],
)
def test_reads_what_crews_write(text: str, metres: str) -> None:
    assert parse_length(text).metres == Decimal(metres)


def test_bare_number_is_in_the_default_unit() -> None:
    assert parse_length("35") == Length(Decimal("0.035"), "mm")
    assert parse_length("2", "ft") == Length(Decimal("0.6096"), "ft")


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("", "“” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("near", "“near” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("3 yd", "“3 yd”: unknown unit “yd”. Use mm, cm, m, in or ft."),
        ("1/0 in", "A fraction cannot have 0 below the line."),
        ("1 m 20 cm", "“1 m 20 cm” mixes units. Only feet and inches do, as in 3 ft 6 in."),
        ("1 m -20 cm", "“1 m -20 cm” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("--3 mm", "“--3 mm” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("3'6 7", "“3'6 7” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
        ("1 ft 2 in 3 in", "“1 ft 2 in 3 in” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."),
    ],
)
def test_says_what_is_wrong(text: str, error: str) -> None:
    with pytest.raises(ValueError) as caught:
        parse_length(text)
    assert str(caught.value) == error


def test_more_digits_than_a_length_can_have() -> None:
    digits = "9" * 39
    with pytest.raises(ValueError, match=f"“{digits}” is longer than any length can be."):
        parse_length(digits)


@given(thousandths=st.integers(0, 99_999_999), unit=st.sampled_from(sorted(METRES_PER)))
def test_what_was_typed_comes_back(thousandths: int, unit: str) -> None:
    typed = Decimal(thousandths) / 1000
    length = parse_length(f"{typed:f} {unit}")
    assert length.unit == unit
    assert in_unit(length.metres, unit) == typed
    assert parse_length(format_length(length.metres, unit)) == length


@given(SIXTY_FOURTHS)
def test_inches_in_sixty_fourths_are_exact(count: int) -> None:
    metres = parse_length(f"{count}/64 in").metres
    assert Fraction(metres) == Fraction(count, 64) * Fraction(254, 10_000)


@given(feet=st.integers(0, 300), inches=st.integers(0, 11))
def test_feet_and_inches_add_up(feet: int, inches: int) -> None:
    together = parse_length(f"{feet}' {inches}\"")
    assert together.unit == "ft"
    assert together.metres == parse_length(f"{feet * 12 + inches} in").metres


@pytest.mark.parametrize(
    ("metres", "unit", "shown"),
    [
        ("0.035", "mm", "35 mm (1.4 in)"),  # 35 / 25.4 = 1.378
        ("0.0635", "in", "2.5 in (64 mm)"),  # 63.5 mm, half to even
        ("24.5", "m", "24.5 m (80.4 ft)"),  # 24.5 / 0.3048 = 80.38
        ("0.6096", "ft", "2 ft (0.61 m)"),
        ("0", "mm", "0 mm (0 in)"),
        ("-0.05", "cm", "−5 cm (−2 in)"),  # 5 / 2.54 = 1.97; U+2212, the minus sign of Unicode
        ("0.001", "mm", "1 mm (0.039 in)"),  # 1 / 25.4 = 0.03937
        ("-0.003", "mm", "−3 mm (−0.12 in)"),  # 3 / 25.4 = 0.1181
        ("0.02", "cm", "2 cm (0.79 in)"),  # 20 / 25.4 = 0.7874
        ("0.000396875", "in", "0.016 in (0.4 mm)"),  # 1/64 in, in_unit's thousandths; 0.397 mm
        ("0.0015875", "in", "0.062 in (1.6 mm)"),  # 1/16 in
        ("0.05", "m", "0.05 m (2 in)"),  # 50 / 25.4 = 1.969
        ("0.01", "m", "0.01 m (0.39 in)"),  # 10 / 25.4 = 0.3937
    ],
)
def test_shows_the_other_system_beside_it(metres: str, unit: str, shown: str) -> None:
    assert format_both(Decimal(metres), unit) == shown


@given(tenths=st.integers(1, 100_000), unit=st.sampled_from(sorted(METRES_PER)))
def test_the_other_reading_is_within_a_twentieth(tenths: int, unit: str) -> None:
    """Two figures round by 0.5 in 10 at most. Numbers read back by the same rules as what is typed,
    which are checked above."""
    metres = Decimal(tenths) / 10 * METRES_PER[unit]
    other = format_both(metres, unit).partition("(")[2].rstrip(")")
    assert abs(parse_length(other).metres - metres) <= metres / 20


@pytest.mark.parametrize(
    ("ohms", "shown"),
    [
        ("140000", "140 kΩ"),
        ("1000000", "1 MΩ"),
        ("1500", "1.5 kΩ"),
        ("999.5", "999.5 Ω"),
        ("150", "150 Ω"),
        ("0", "0 Ω"),
    ],
)
def test_ohms_read_as_on_a_label(ohms: str, shown: str) -> None:
    """Prefixes: SI Brochure, table 7: k is 10³, M is 10⁶."""
    assert format_ohms(Decimal(ohms)) == shown


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("68 °F", "20.0"),  # NIST SP 811, B.8: (t/°F − 32) / 1.8
        ("32F", "0.0"),
        ("−40 °F", "-40.0"),
        ("95f", "35.0"),
        ("70 F", "21.1"),
        ("21,5", "21.5"),
        ("21.5 °C", "21.5"),
    ],
)
def test_temperatures_in_either_scale(text: str, celsius: str) -> None:
    assert parse_temperature(text) == Decimal(celsius)


@pytest.mark.parametrize("text", ["warm", "68 K", "6 8", "°F", "1e3"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(ValueError, match="is not a temperature. Write 21.5 °C or 68 °F."):
        parse_temperature(text)


# NIST SP 811, B.8 (from memory): t/°F = 9/5 t/°C + 32. Water freezes at 32 °F and boils at 212 °F
# under one standard atmosphere; −40 is the same in both; 21.5 °C worked by hand: 38.7 + 32.
@pytest.mark.parametrize(
    ("celsius", "shown"),
    [("0", "32 °F"), ("100", "212 °F"), ("-40", "−40 °F"), ("21.5", "70.7 °F"), ("-30", "−22 °F")],
)
def test_a_temperature_shown_in_fahrenheit(celsius: str, shown: str) -> None:
    assert format_temperature(Decimal(celsius), "F") == shown


def test_what_is_shown_in_fahrenheit_reads_back_as_the_same_tenth() -> None:
    for tenths in range(-300, 601):
        celsius = Decimal(tenths) / 10
        assert parse_temperature(format_temperature(celsius, "F")) == celsius


def test_a_bare_number_is_in_the_scale_of_whoever_types() -> None:
    assert parse_temperature("68", "F") == 20
    assert parse_temperature("20 °C", "F") == 20


def test_a_sentence_in_the_scale_of_the_reader() -> None:
    words = "−25 °C lies outside −20 to 50 °C; 3 m of cable, 20 % and 5 dB stay."
    read = "−13 °F lies outside −4 to 122 °F; 3 m of cable, 20 % and 5 dB stay."
    assert temperatures_in(words, "F") == read
    assert temperatures_in(words, "C") == words
