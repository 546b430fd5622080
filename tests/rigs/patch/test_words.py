"""Ways and lines as crews write them. The spellings are common practice, no source."""

from __future__ import annotations

import pytest

from rigs.patch.words import BoxName, SaidLine, read_line, read_place, read_runs

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
