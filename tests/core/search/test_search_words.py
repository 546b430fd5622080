"""What counts as a word, and where it stands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.search.context import LENGTH, Segment, excerpt, segments
from core.search.words import LONGEST, fold, words


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Too BOOMY, low end!", "too boomy low end"),
        ("Müller’s café", "mullers cafe"),
        ("high-pass 2:30", "high pass 2 30"),
        ("STRASSE straße", "strasse strasse"),
        ("½ inch 8 Ω", "1 2 inch 8 ω"),
        ("ﬁne ｗｉｄｅ", "fine wide"),
        ("e\u0301te\u0301", "ete"),
        ("12AX7/EL34", "12ax7 el34"),
        ("' \" * ( ) : -", ""),
        ("日本 привет", "日本 привет"),
    ],
)
def test_a_word_is_letters_and_figures_without_case_and_accents(text: str, folded: str) -> None:
    assert fold(text) == folded


def test_a_very_long_word_is_cut() -> None:
    assert fold("a" * 200) == "a" * LONGEST


@given(st.text())
def test_each_word_stands_where_it_says(text: str) -> None:
    for word in words(text):
        assert word.folded
        assert " " not in word.folded
        assert word.folded in fold(text[word.start : word.end])


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


BEGINNINGS = st.lists(st.text(alphabet="ab12", min_size=1), min_size=1)
LOOSE = st.text() | st.text(alphabet="ab ½12é'")


@given(LOOSE, BEGINNINGS)
def test_the_pieces_of_a_title_make_up_the_title(text: str, wanted: list[str]) -> None:
    assert "".join(piece.text for piece in segments(text, wanted)) == text


@given(LOOSE, BEGINNINGS)
def test_an_excerpt_is_short_and_from_the_text(text: str, wanted: list[str]) -> None:
    pieces = excerpt(text, wanted)
    shown = "".join(piece.text for piece in pieces).removeprefix("… ").removesuffix(" …")
    assert shown in " ".join(text.split())
    longest = max((w.end - w.start for w in words(text)), default=0)
    assert len(shown) <= LENGTH + longest


def test_a_beginning_marks_the_whole_word() -> None:
    assert segments("Loud trumpets", ["trum"]) == [
        Segment("Loud ", False),
        Segment("trumpets", True),
    ]


def test_an_excerpt_opens_where_most_of_the_words_are() -> None:
    text = "A boomy start. " + "nothing here " * 40 + "then boomy organ in the bridge " + "x " * 200
    pieces = excerpt(text, ["boomy", "organ"])
    assert [piece.text for piece in pieces if piece.is_hit] == ["boomy", "organ"]
    assert (pieces[0].text, pieces[-1].text) == ("… ", " …")


def test_without_a_hit_the_excerpt_is_the_beginning() -> None:
    assert excerpt("Short and dry.", ["organ"]) == [Segment("Short and dry.", False)]
