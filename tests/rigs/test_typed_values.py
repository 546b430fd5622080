"""Values, settings, headings and directions, read by the words of each language."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext

from rigs.input_lines.lines import Named, read_line
from rigs.lists.columns import BY_KEY, COLUMNS, guess
from rigs.plot.facing import DIRECTIONS, facing_words, read_facing
from rigs.settings_of_controls import Style, tidy_setting
from rigs.tonight.offers import read_offers
from rigs.units.several import read_line as read_unit

LANGUAGES = [code for code, _name in settings.LANGUAGES]
READERS = ["en", "de", "ja"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_headings_of_the_input_list_in_each_language(language: str) -> None:
    with translation.override(language):
        headings = [gettext(column.heading) for column in COLUMNS]
    with translation.override("en"):
        assert guess(headings) == {at: column.key for at, column in enumerate(COLUMNS)}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    ("cell", "answer"),
    [
        *((yes, True) for yes in ("yes", "Ja!", "sí", "oui", "はい", "あり", "nötig")),
        *((no, False) for no in ("no", "nein", "non", "なし", "kein", "不要", "-")),
    ],
)
def test_yes_and_no(cell: str, answer: bool, reader: str) -> None:
    with translation.override(reader):
        assert BY_KEY["phantom"].read(cell) == {"phantom": answer}


@pytest.mark.parametrize(
    ("cell", "pan"),
    [
        ("50 links", -50),
        ("rechts", 100),
        ("30 a la derecha del público", 30),
        ("gauche 20 %", -20),
        ("左50", -50),
        ("中央", 0),
        ("Mitte", 0),
        ("50 house left", -50),
    ],
)
def test_places_between_left_and_right(cell: str, pan: int) -> None:
    assert BY_KEY["pan"].read(cell) == {"pan": pan}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    "text", ["0 to 12", "0–12", "0 bis 12", "0 a 12", "0 à 12", "0〜12", "0,0 bis 12,0", "0から12"]
)
def test_ends_of_a_dial(text: str, reader: str) -> None:
    with translation.override(reader):
        offers = read_offers(Style.DIAL, text)
    assert (offers.low, offers.high) == (Decimal(0), Decimal(12))


@pytest.mark.parametrize(
    ("style", "text", "choices", "tidied"),
    [
        (Style.CLOCK, "2:30 Uhr", "", "2:30"),
        (Style.CLOCK, "９時", "", "9:00"),
        (Style.CLOCK, "2時30分", "", "2:30"),
        (Style.CLOCK, "10 heures", "", "10:00"),
        (Style.CLOCK, "10 o’clock", "", "10:00"),
        (Style.DIAL, "6,5 von 10", "", "6.5"),
        (Style.DIAL, "7 sur 10", "", "7"),
        (Style.DIAL, "7/10", "", "7"),
        (Style.SWITCH, "on", "an, aus", "an"),
        (Style.SWITCH, "aus", "on, off", "off"),
        (Style.SWITCH, "オン", "off, on", "on"),
        (Style.CHOICE, "choices, clean", "", "choices, clean"),
    ],
)
@pytest.mark.parametrize("reader", READERS)
def test_settings(style: Style, text: str, choices: str, tidied: str, reader: str) -> None:
    with translation.override(reader):
        assert tidy_setting(style, text, None, None, choices) == tidied


def test_a_switch_with_two_positions_that_mean_on_is_not_guessed() -> None:
    with pytest.raises(ValueError, match="is not one of"):
        tidy_setting(Style.SWITCH, "on", None, None, "an, ein, aus")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("degrees", [*DIRECTIONS, 30, -30, 150])
def test_a_direction_said_in_one_language_is_read_by_readers_of_all(
    degrees: int, language: str
) -> None:
    with translation.override(language):
        said = facing_words(degrees)
    for reader in LANGUAGES:
        with translation.override(reader):
            assert read_facing(said) == degrees


@pytest.mark.parametrize(
    ("said", "degrees"),
    [
        ("house left", 90),
        ("vom Publikum aus links", 90),
        ("客席から見て右", -90),
        ("Publikum", 0),
        ("30° vom Publikum aus rechts", -30),
    ],
)
def test_left_and_right_of_the_house(said: str, degrees: int) -> None:
    assert read_facing(said) == degrees


@pytest.mark.parametrize(
    "line",
    [
        "1 Kick in, D6, 20 cm from the rim, gain 34",
        "1 Kick in、D6、20 cm from rim、gain 34",
        "1 Kick in, D6, 20 cm vom rim, gain 34",
        "1 Kick in, D6, 20 cm depuis rim, gain 34",
    ],
)
def test_lines_of_inputs(line: str) -> None:
    draft = read_line(line, [], [Named("d6", ("D6",))])
    assert (draft.number, draft.name) == (1, "Kick in")
    assert draft.fields["reference_point"] == "rim"
    assert draft.fields["gain_db"] == "34"


@pytest.mark.parametrize("line", ["Fuzz, pedal, Tarn Six", "Fuzz、pedal，Tarn Six"])  # noqa: RUF001
def test_lines_of_units(line: str) -> None:
    draft = read_unit(line)
    assert (draft.name, draft.maker, draft.model) == ("Fuzz", "Tarn", "Six")
