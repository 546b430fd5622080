"""Ways and lines as crews write them. The spellings are common practice, no source."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext

from rigs.patch import words
from rigs.patch.forms import PLACEHOLDER
from rigs.patch.offers import from_file
from rigs.patch.rows import SPLIT
from rigs.patch.words import BoxName, Place, SaidLine, read_line, read_place, read_runs

A = BoxName("a", "A", "Stage box A", 16)
SL = BoxName("sl", "SL", "Stage left box", 12)
D1 = BoxName("d1", "D1", "Drum snake", 8)
BOXES = [A, SL, D1]


@pytest.mark.parametrize(
    ("words", "box", "way"),
    [
        ("A12", A, 12),
        ("a 12", A, 12),
        ("Box A 12", A, 12),
        ("stage box A12", A, 12),
        ("A-12", A, 12),
        ("A/12", A, 12),
        ("SL 12", SL, 12),
        ("sl12", SL, 12),
        ("Stage left box 3", SL, 3),
        ("snake D1 7", D1, 7),
        ("D1/7", D1, 7),
        ("A way 3", A, 3),
    ],
)
def test_a_way_in_words(words: str, box: BoxName, way: int) -> None:
    place = read_place(words, BOXES)
    assert place is not None
    assert (place.box, place.first, place.last) == (box, way, way)


@pytest.mark.parametrize("words", ["Bass riser", "B 3", "12", "A", "Amp 3", "D13", "A 3 or 4", ""])
def test_words_that_name_no_way(words: str) -> None:
    assert read_place(words, BOXES) is None


@pytest.mark.parametrize(("words", "wrong"), [("A 17", "A 17"), ("A 0", "A 0"), ("D1 9", "D1 9")])
def test_a_way_that_does_not_exist(words: str, wrong: str) -> None:
    with pytest.raises(ValueError, match=f"there is no way {wrong}"):
        read_place(words, BOXES)


def said(line: str) -> tuple[int, int, str, tuple[str, int, int] | None]:
    read = read_line(line, BOXES)
    place = read.place
    where = (place.box.mark, place.first, place.last) if place else None
    return read.first, read.last, read.name, where


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("1–16 → A 1–16", (1, 16, "", ("A", 1, 16))),
        ("inputs 1-16 -> box A 1-16", (1, 16, "", ("A", 1, 16))),
        ("ch 17–20 to SL 1", (17, 20, "", ("SL", 1, 4))),
        ("1 to 4 → A 1 to 4", (1, 4, "", ("A", 1, 4))),
        ("5 = A 7", (5, 5, "", ("A", 7, 7))),
        ("Lead voice → A 12", (0, 0, "Lead voice", ("A", 12, 12))),
        ("Amp -> pedal: A 2", (0, 0, "Amp -> pedal", ("A", 2, 2))),
        ("9, monitor 3", (9, 9, "", None)),
    ],
)
def test_a_line(line: str, meant: object) -> None:
    assert said(line) == meant


def test_what_stands_behind_the_way() -> None:
    read = read_line("9 → D1 3, mon 41, phantom from the monitor desk, passive split", BOXES)
    assert (read.monitor, read.phantom_from, read.split) == (41, "monitor", "passive")
    assert read_line("5 → none", BOXES) == SaidLine(5, 5, no_way=True)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("1–16 → A 1–15", "16 inputs, but 15 ways"),
        ("10–20 → A 10", "there is no way A 20"),
        ("1 → Z 3", "names no way of a box"),
        ("4–1 → A 1", "runs backwards"),
        ("1 → A 1, louder", "is not understood"),
        ("1 → A 1, phantom from nobody", "say one of both, foh, monitor, split"),
        ("1–4 → A 1, monitor 1–3", "not as many channels"),
    ],
)
def test_a_line_that_cannot_be(line: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        read_line(line, BOXES)


@pytest.mark.parametrize(
    ("text", "runs", "to_desk"),
    [
        ("1–8 → B 9–16", [(1, "B", 9, 16)], False),
        ("1-4 to B 1-4; 5 → B 12", [(1, "B", 1, 4), (5, "B", 12, 12)], False),
        ("desk", [], True),
        ("1 → B 1; the desk", [(1, "B", 1, 1)], True),
        ("", [], False),
    ],
)
def test_where_the_ways_of_a_box_go(
    text: str, runs: list[tuple[int, str, int, int]], to_desk: bool
) -> None:
    a, b = BoxName("a", "A", "Stage box A", 8), BoxName("b", "B", "Stage box B", 16)
    found, desk = read_runs(text, a, [a, b])
    told = [(each.first, each.into.box.mark, each.into.first, each.into.last) for each in found]
    assert (told, desk) == (runs, to_desk)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1–9 → B 1–9", "there is no way A 9"),
        ("1–8 → B 10–17", "there is no way B 17"),
        ("1–8 → B 1–4", "as many ways"),
        ("1–8", "is no run"),
        ("1–8 → C 1–8", "is no run"),
    ],
)
def test_runs_that_cannot_be_are_told(text: str, words: str) -> None:
    a, b = BoxName("a", "A", "Stage box A", 8), BoxName("b", "B", "Stage box B", 16)
    with pytest.raises(ValueError, match=words):
        read_runs(text, a, [a, b])


LANGUAGES = [code for code, _name in settings.LANGUAGES]


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("1 bis 16 auf A 1 bis 16", (1, 16, "", ("A", 1, 16))),
        ("Eingänge 1–4 → Box A 1", (1, 4, "", ("A", 1, 4))),
        ("canales 1 a 16 a A 1 a 16", (1, 16, "", ("A", 1, 16))),
        ("voies 1 à 4 vers boîtier A 1 à 4", (1, 4, "", ("A", 1, 4))),
        ("チャンネル１〜１６ → ボックスA１〜１６", (1, 16, "", ("A", 1, 16))),  # noqa: RUF001
        ("1から16＞A1から16", (1, 16, "", ("A", 1, 16))),  # noqa: RUF001
        ("Guitare à Léa", (0, 0, "Guitare à Léa", None)),
        ("Stimme nach Hall → A 12", (0, 0, "Stimme nach Hall", ("A", 12, 12))),
    ],
)
@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_lines_in_the_words_of_each_language(
    line: str, meant: tuple[int, int, str, tuple[str, int, int] | None], reader: str
) -> None:
    with translation.override(reader):
        assert said(line) == meant


@pytest.mark.parametrize(
    ("cells", "monitor", "phantom", "split"),
    [
        ("Monitor 9, Phantom vom Monitorpult, Splitter passiv", 9, "monitor", "passive"),
        ("Monitorkanal 9, Phantom von FOH, aktiver Split", 9, "foh", "active"),
        ("monitores 9, phantom desde la sala, split con transformador", 9, "foh", "transformer"),
        ("retours 9, fantôme depuis les retours, split actif", 9, "monitor", "active"),
        ("モニター９、ファンタム モニター卓から、スプリット なし", 9, "monitor", "none"),  # noqa: RUF001
        ("モニター9、スプリッターからファンタム、パッシブスプリット", 9, "split", "passive"),
        ("monitor 9, phantom from the split, passive split", 9, "split", "passive"),
    ],
)
@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_what_stands_behind_the_way_in_each_language(
    cells: str, monitor: int, phantom: str, split: str, reader: str
) -> None:
    with translation.override(reader):
        read = read_line(f"5 → A 3, {cells}", BOXES)
    assert (read.monitor, read.phantom_from, read.split) == (monitor, phantom, split)


@pytest.mark.parametrize("none", ["none", "keiner", "ninguna", "aucune", "なし", "-"])
def test_no_way_in_each_language(none: str) -> None:
    assert read_line(f"8 → {none}", BOXES).no_way


@pytest.mark.parametrize("desk", ["desk", "Pult", "la mesa", "console", "卓"])
def test_the_desk_and_runs_in_each_language(desk: str) -> None:
    runs, to_desk = read_runs(f"1–4 → SL 1–4；5 bis 8 auf SL 5 bis 8; {desk}", A, BOXES)  # noqa: RUF001
    assert [(run.first, run.into.first) for run in runs] == [(1, 1), (5, 5)]
    assert to_desk


@pytest.mark.parametrize("reader", LANGUAGES)
def test_what_is_offered_where_a_word_is_wrong_is_read(reader: str) -> None:
    with translation.override(reader):
        for word in words._SPLITS.offered:
            assert read_line(f"5 → A 3, split {word}", BOXES).split
        for word in words._PHANTOMS.offered:
            assert read_line(f"5 → A 3, phantom {word}", BOXES).phantom_from
        with pytest.raises(ValueError, match=words._SPLITS.offered[1]):
            read_line("5 → A 3, split wrongly", BOXES)


@pytest.mark.parametrize("reader", LANGUAGES)
def test_the_sample_is_read_in_its_language(reader: str) -> None:
    with translation.override(reader):
        lines = str(PLACEHOLDER).splitlines()
    first, second, third = (read_line(line, BOXES) for line in lines)
    assert (first.first, first.last, first.place) == (1, 16, Place(A, 1, 16))
    assert (second.first, second.monitor) == (17, 17)
    assert third.name
    assert third.phantom_from == "monitor"


@pytest.mark.parametrize("reader", LANGUAGES)
def test_headings_of_a_list_in_each_language(reader: str) -> None:
    with translation.override(reader):
        headings = [str(gettext(word)) for word in ("Channel", "Box", "Way", "Monitor")]
        headings.append(str(SPLIT))
    row = "5;A;3;9;passive"
    for other in ("en", "ja"):
        with translation.override(other):
            offered = from_file("list.csv", f"{';'.join(headings)}\n{row}".encode(), BOXES, [])
            assert offered.left == []
            assert offered.lines == ["5 → A 3, monitor 9, split passive"]
