"""What people type is read in every language of the catalogues, in English before all others."""

from __future__ import annotations

import re

import pytest
from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext_lazy

from core.forms.lines import SeveralPlayersForm, read_song
from core.languages.typed import Typed, between_figures, narrow, typed_as
from core.models import Production
from core.sets.state import BREAK, ENCORE, NOTE
from core.sets.titles import read

LANGUAGES = [code for code, _name in settings.LANGUAGES]
LINES = {gettext_lazy("encore|encores"): ENCORE, gettext_lazy("break|interval|pause"): BREAK}


@pytest.mark.parametrize("reader", LANGUAGES)
@pytest.mark.parametrize("language", LANGUAGES)
def test_lines_of_a_set_are_read_in_the_words_of_each_language(language: str, reader: str) -> None:
    for message, kind in LINES.items():
        with translation.override(language):
            words = str(message).split("|")
        with translation.override(reader):
            assert {line.kind for line in read("\n".join(words), [])} == {kind}


@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_a_set_as_japanese_and_german_crews_write_it(reader: str) -> None:
    songs = [("1", "川沿い"), ("2", "Über den Grat")]
    text = "１．川沿い\n2、Über den Grat\n休憩\n・川沿い\n（客電を待つ）\nZugabe\n(wait)"  # noqa: RUF001
    with translation.override(reader):
        lines = read(text, songs)
    assert [line.song for line in lines] == ["1", "2", "", "1", "", "", ""]
    assert [line.kind for line in lines][2:] == [BREAK, "song", NOTE, ENCORE, NOTE]
    assert lines[4].text == "客電を待つ"


def test_english_keeps_its_words_whatever_another_language_means_by_them() -> None:
    with translation.override("de"):
        taken = str(gettext_lazy("encore|encores")).split("|")[0]
    told = Typed([(gettext_lazy("encore|encores"), "encore"), (taken, "english")])
    assert told.get(taken.upper()) == "english"
    assert told.get("encore") == "encore"
    assert told.get("nothing of that") is None


def test_a_word_stands_before_or_behind_another_with_or_without_a_space() -> None:
    words = typed_as("phantom|phantom power")
    assert words.beside("Phantom  power split") == "split"
    assert words.beside("スプリットphantom") == "スプリット"
    assert words.beside("split") is None


@pytest.mark.parametrize(
    "span", ["1-5", "1–5", "1 to 5", "1 bis 5", "1 a 5", "1 à 5", "1〜5", "1から5"]
)
def test_ranges(span: str) -> None:
    found = re.fullmatch(rf"(\d){between_figures()}(\d)", span)
    assert found is not None
    assert found.groups() == ("1", "5")


def test_full_width_figures_and_marks_are_the_narrow_ones_one_for_one() -> None:
    text = "１２＞Ａ、（ｂ）；ギター　ー"  # noqa: RUF001
    assert narrow(text) == "12>A,(b);ギター ー"
    assert len(narrow(text)) == len(text)


@pytest.mark.parametrize(
    ("line", "values"),
    [
        ("川沿い、4:05、96 bpm", {"title": "川沿い", "length_s": "4:05", "tempo_bpm": "96"}),
        ("川、沿い（4：05）", {"title": "川、沿い", "length_s": "4:05"}),  # noqa: RUF001
        ("Fähre, 3:20, 96,5 BPM", {"title": "Fähre", "length_s": "3:20", "tempo_bpm": "96.5"}),
        ("Route 66,96 bpm", {"title": "Route 66", "tempo_bpm": "96"}),
    ],
)
def test_songs_with_marks_of_other_languages(line: str, values: dict[str, str]) -> None:
    assert read_song(line) == values


@pytest.mark.parametrize("line", ["山田 花、ベース", "山田 花，ベース", "山田 花, ベース"])  # noqa: RUF001
def test_a_player_before_any_comma(line: str) -> None:
    name, form = SeveralPlayersForm(Production()).form_of(line)
    assert (name, form.data["instrument"]) == ("山田 花", "ベース")
