"""Sheets hold the data, number their pages, and their squares open the page.

Text and pictures are read back by PDFium, squares by ZXing: neither knows how they were made.
"""

from __future__ import annotations

import re
from itertools import combinations
from typing import Any
from uuid import uuid4

import numpy as np
import pypdfium2
import pytest
from django.core.files.storage import default_storage
from numpy.typing import NDArray

from rigs.changes.edits import Add, Set
from rigs.lists.input_list import as_rows, inputs_of
from rigs.lists.pack import pack_of
from rigs.lists.paper import grid_sheet, pack_sheet
from rigs.lists.state import state_of
from rigs.models import Photo, Revision, Rig
from rigs.paper.pdf import Paper
from rigs.paper.sheets import label_sheet, recall_sheet
from rigs.photos.storage import path_of
from rigs.revisions.record import create
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.squares import squares_in
from tests.support.world import World

MM = 72 / 25.4  # points
ADDRESS = "http://127.0.0.1:8000/p/3f2a/rigs/77b1/"


def text_of(pdf: bytes) -> list[str]:
    """The text of each page, white space folded."""
    return [
        " ".join(page.get_textpage().get_text_range().split())
        for page in pypdfium2.PdfDocument(pdf)
    ]


Box = tuple[float, float, float, float]  # left, bottom, right, top
SPACE = 4  # points: that at the end of a line may stand beyond the margin


def boxes_of(page: pypdfium2.PdfPage) -> list[Box]:
    """Each run of text but header and footer, as PDFium reads it back."""
    text, height = page.get_textpage(), page.get_height()
    found = [text.get_rect(at) for at in range(text.count_rects())]
    return [
        box for box in found if not (height - 22 * MM <= box[1] < height or 0 < box[3] <= 18 * MM)
    ]


def strays(page: pypdfium2.PdfPage) -> list[Box]:
    """What is printed beyond the margins (typ/sheet.typ)."""
    width, height = page.get_size()
    return [
        (left, bottom, right, top)
        for left, bottom, right, top in boxes_of(page)
        if left < 15 * MM - 1
        or right > width - 15 * MM + SPACE
        or bottom < 18 * MM - 1
        or top > height - 22 * MM + 2
    ]


def overprinted(page: pypdfium2.PdfPage) -> list[tuple[Box, Box]]:
    """Runs of text that stand over each other. The box of a letter reaches beyond its ink, so a
    little is allowed for."""
    return [
        (one, other)
        for one, other in combinations(boxes_of(page), 2)
        if min(one[2], other[2]) - max(one[0], other[0]) > 1
        and min(one[3], other[3]) - max(one[1], other[1]) > 2
    ]


def picture_of(pdf: bytes) -> NDArray[np.uint8]:
    return np.asarray(pypdfium2.PdfDocument(pdf)[0].render(scale=3).to_numpy())


@pytest.fixture
def sheet(world: World) -> bytes:
    revision = Revision.objects.get(rig=world.rig)
    return recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4)


def test_a_recall_sheet_holds_what_is_documented(sheet: bytes) -> None:
    text = " ".join(text_of(sheet))
    for said in (
        "Bass main",
        "Ines Halloran",
        "Warm, woody, no clank.",
        "Gain 2:30",
        "7 Bass mic",
        "Corvane Hollow 2",
        "35 mm (1.4 in)",
        "cone edge",
        "Valve amplifiers hold dangerous",
    ):
        assert said in text


def test_every_page_is_stamped_and_numbered(world: World) -> None:
    notes = "\n".join(f"Line {n} of a very long story." for n in range(120))
    world.record(Set(str(world.rig.pk), "rig", {"notes": notes}))
    world.rig.refresh_from_db()
    revision = Revision.objects.get(number=2)
    pages = text_of(recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4))
    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        assert f"change 2 · {revision.digest[:8]}" in page
        assert f"page {number} of {len(pages)}" in page


def test_the_square_opens_the_live_page(sheet: bytes) -> None:
    assert squares_in(picture_of(sheet)) == [ADDRESS]


@pytest.mark.parametrize(("paper", "points"), [(Paper.A4, (595, 842)), (Paper.LETTER, (612, 792))])
def test_paper_is_a4_or_letter(world: World, paper: Paper, points: tuple[int, int]) -> None:
    """Sizes in points: ISO 216 A4 210 × 297 mm, US Letter 8.5 × 11 in."""
    pdf = pack_sheet(pack_of(world.production), world.production, paper=paper, **live(world))
    size = pypdfium2.PdfDocument(pdf)[0].get_size()
    assert tuple(round(side) for side in size) == points


def live(world: World) -> dict[str, Any]:
    return {"state": state_of(world.production, ["main"]), "address": ADDRESS}


def test_the_input_list_on_paper_holds_its_rows(world: World) -> None:
    rows = as_rows(inputs_of(world.production))
    (page,) = text_of(
        grid_sheet("Input list", world.production, rows, paper=Paper.A4, **live(world))
    )
    assert "Bass mic" in page
    assert "Corvane Hollow 2" in page


def test_a_list_is_stamped_on_every_page_and_its_square_opens_it(world: World) -> None:
    """Changes, digest and time move with the rigs, so a stale print is recognised."""
    rows = [["Ch", "Name"], *[[str(n), f"Input {n}"] for n in range(120)]]
    state = state_of(world.production, ["main"])
    pdf = grid_sheet(
        "Input list", world.production, rows, paper=Paper.LETTER, state=state, address=ADDRESS
    )
    pages = text_of(pdf)
    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        assert f"1 change · {state.digest[:8]} · " in page
        assert f"page {number} of {len(pages)}" in page
    assert squares_in(picture_of(pdf)) == [ADDRESS]
    world.turn("3:00")
    moved = state_of(world.production, ["main"])
    assert (moved.changes, moved.digest != state.digest) == (2, True)


@pytest.mark.parametrize("paper", list(Paper))
def test_endless_names_stay_on_the_page(world: World, paper: Paper) -> None:
    """Nothing is printed beyond the margins: 15 mm at each side (typ/sheet.typ)."""
    endless = "Overheadleftofthedrummerwhositsfarback" * 3
    rows = [
        ["Ch", "Name", "Player", "Mic", "Stand", "Pan"],
        ["1", endless, endless, endless, "", "C"],
    ]
    pdf = pypdfium2.PdfDocument(
        grid_sheet("Input list", world.production, rows, paper=paper, **live(world))
    )
    page = pdf[0]
    text = page.get_textpage()
    boxes = [text.get_charbox(at) for at in range(text.count_chars())]
    width = page.get_width()
    assert min(box[0] for box in boxes) >= 15 * MM - 1
    assert max(box[2] for box in boxes) <= width - 15 * MM + 1


@pytest.mark.parametrize("letter", ["n", "i"])
@pytest.mark.parametrize("letters", [17, 21, 70])
def test_a_word_wider_than_its_column_is_broken(world: World, letter: str, letters: int) -> None:
    """A cell keeps to its column: nothing stands over the next one."""
    word = letter * letters
    cabinet, knobs = str(uuid4()), [str(uuid4()) for _ in range(4)]
    world.record(
        Add(cabinet, "unit", {"name": word, "gear": "cabinet"}),
        Add(
            str(uuid4()),
            "link",
            {
                "source": str(world.unit.pk),
                "target": cabinet,
                "cable": word,
                "to_socket": word[:60],
            },
        ),
        *(
            Add(knob, "control", {"unit": cabinet, "name": word, "setting": word, "style": "text"})
            for knob in knobs
        ),
    )
    made = recall(world)
    assert "".join(text_of(made)).count(letter) >= 7 * letters
    for page in pypdfium2.PdfDocument(made):
        assert strays(page) == []
        assert overprinted(page) == []


def test_names_in_capitals_keep_apart_under_their_drawings(world: World) -> None:
    world.record(
        *(
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": str(world.unit.pk),
                    "name": f"{n} MAXIMUM WARMTH OF MIDDLE",
                    "setting": "2:00",
                },
            )
            for n in range(6)
        )
    )
    for page in pypdfium2.PdfDocument(recall(world)):
        assert strays(page) == []
        assert overprinted(page) == []


def test_a_unit_with_many_short_lines_goes_over_to_the_next_page(world: World) -> None:
    """Short by its letters, longer than a page by its lines."""
    lines = "\n".join(f"line {n}" for n in range(120))
    world.record(Set(str(world.unit.pk), "unit", {"notes": lines}))
    pages = list(pypdfium2.PdfDocument(recall(world)))
    text = " ".join(text_of(recall(world)))
    assert all(f"line {n} " in text for n in range(120))
    assert [strays(page) for page in pages] == [[] for _ in pages]


def test_sheets_of_nothing_say_so(world: World) -> None:
    empty = as_rows([])
    made = grid_sheet("Input list", world.production, empty, paper=Paper.A4, **live(world))
    assert "Nothing is documented yet." in text_of(made)[0]
    bare = Rig(production=world.production, player=world.player, name="Bare")
    create(bare, author=world.tech)
    revision = Revision.objects.get(rig=bare)
    sheet = recall_sheet(bare, revision, address=ADDRESS, paper=Paper.A4)
    assert "No unit is documented yet." in text_of(sheet)[0]


def test_markup_in_names_stays_text(world: World) -> None:
    name = '#panic("x") *b* $x$ \\ <a>'
    world.record(Set(str(world.unit.pk), "unit", {"name": name}))
    world.rig.refresh_from_db()
    revision = Revision.objects.get(number=2)
    pdf = recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4)
    assert name in " ".join(text_of(pdf)).replace("“", '"').replace("”", '"')


@pytest.mark.parametrize("name", ["Ωμέγα Жук", "שלום", "\U00012000 cuneiform"])
def test_names_in_any_script_print(world: World, name: str) -> None:
    """A letter that no font of the machine has (such as U+12000) is a box, not a failure."""
    world.record(Set(str(world.unit.pk), "unit", {"name": name}))
    text = " ".join(text_of(recall(world)))
    assert "Gain 2:30" in text
    if name.startswith("Ω"):
        assert name in text


def test_labels_open_what_they_stand_on(world: World) -> None:
    pdf = label_sheet(world.production, [("Head", "Bass main", ADDRESS)], paper=Paper.A4)
    assert "Head Bass main" in text_of(pdf)[0]
    assert squares_in(picture_of(pdf)) == [ADDRESS]


def test_labels_with_endless_names_keep_apart(world: World) -> None:
    """Each name stays in its frame: a third of the page within 10 mm (typ/labels.typ)."""
    name = "Unterbrechungslosedoppelrotorlautsprecherkabinettverstaerkerendstufenr"
    pdf = label_sheet(world.production, [(name, name, ADDRESS)] * 6, paper=Paper.A4)
    (page,) = pypdfium2.PdfDocument(pdf)
    # A break that may stand between any two letters (U+200B) is text to PDFium.
    words = "".join(text_of(pdf)[0].replace("\u200b", "").split())
    assert words.count("Unterbrechungslose") == 12
    assert overprinted(page) == []
    frame = (page.get_width() - 20 * MM) / 3
    for left, _, right, _ in boxes_of(page):
        assert int((left - 10 * MM) / frame) == int((right - 10 * MM) / frame)


@pytest.fixture
def photo(world: World, settings: Any, tmp_path: Any) -> Photo:
    settings.MEDIA_ROOT = tmp_path
    photo = add_photo(world, about=world.unit.pk)
    add_pin(world, photo, world.control, position=1, x="0.25", y="0.5")
    add_pin(world, photo, world.input, position=2, x="0.8", y="0.05", words="clear of the handle")
    return photo


def recall(world: World) -> bytes:
    world.rig.refresh_from_db()
    revision = Revision.objects.get(rig=world.rig, number=world.rig.head_number)
    return recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4)


def test_a_recall_sheet_has_the_photos_with_their_legend(world: World, photo: Photo) -> None:
    text = " ".join(text_of(recall(world)))
    assert "Front of the head Head" in text
    for line in (
        "1 Gain: 2:30",
        "2 7 Bass mic: Corvane Hollow 2, cone edge, 35 mm (1.4 in) from grille, 20° off axis "
        "(clear of the handle)",
    ):
        assert line in text


def test_numbers_on_paper_stand_at_their_spots(world: World, photo: Photo) -> None:
    """The disc's centre is above its spot, or below it near the top (drawing/pin_places.py): 22
    where the disc is 26 wide, and it is 6 mm wide on paper: 22 · 6 / 26 = 5.08 mm."""
    pdf = pypdfium2.PdfDocument(recall(world))
    page = pdf[len(pdf) - 1]
    (picture,) = (o for o in page.get_objects() if isinstance(o, pypdfium2.PdfImage))
    left, bottom, right, top = picture.get_bounds()
    assert (right - left) / (top - bottom) == pytest.approx(320 / 240, abs=0.01)
    text = page.get_textpage()
    found = {}
    for at in range(text.count_chars()):
        box = text.get_charbox(at)
        x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        letter = text.get_text_range(at, 1).strip()
        if letter and left < x < right and bottom < y < top:
            found[letter] = (x, y)
    spots = {"1": (0.25, 0.5, 5.08), "2": (0.8, 0.05, -5.08)}
    assert found.keys() == spots.keys()
    for number, (x, y, rise) in spots.items():
        assert found[number][0] == pytest.approx(left + x * (right - left), abs=1)
        assert found[number][1] == pytest.approx(top - y * (top - bottom) + rise * MM, abs=1.5)


def test_a_sheet_of_the_past_has_the_pins_of_then(world: World, photo: Photo) -> None:
    revision = Revision.objects.get(rig=world.rig, number=2)  # before the first pin
    pdf = recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4)
    assert "Front of the head" not in " ".join(text_of(pdf))


def test_a_lost_picture_leaves_its_legend(world: World, photo: Photo) -> None:
    default_storage.delete(path_of(photo.image.sha256))
    text = " ".join(text_of(recall(world)))
    assert "This picture cannot be read" in text
    assert "1 Gain: 2:30" in text


def test_markup_in_words_on_pins_stays_text(world: World, photo: Photo) -> None:
    name = '#panic("x") *b* $x$ <a>'
    add_pin(world, photo, words=name, position=3)
    assert name in " ".join(text_of(recall(world))).replace("“", '"').replace("”", '"')


def test_a_kit_is_drawn_on_its_recall_sheet(world: World) -> None:
    # 5, 12, 13: the distance in plan by Pythagoras.
    place = {"plan_right_m": "0.5", "plan_front_m": "1.2"}
    snare = {"name": "Snare", "gear": "drum", "plan_right_m": "0", "plan_front_m": "0"}
    world.record(Add(str(uuid4()), "unit", snare), Set(str(world.input.pk), "input", place))
    world.rig.refresh_from_db()
    revision = Revision.objects.get(number=2)
    pdf = recall_sheet(world.rig, revision, address=ADDRESS, paper=Paper.A4)
    text = " ".join(text_of(pdf))
    assert "The kit from above" in text
    assert "7: Bass mic 50 cm (19.7 in) right 120 cm (47.2 in) in front 130 cm (51.2 in)" in text


def test_letters_that_no_font_has_do_not_keep_the_sheet_from_the_printer(world: World) -> None:
    # U+E000 is for private use (The Unicode Standard, chapter 23.5): no font here draws it.
    name = "Head \ue000 of 日本 🎸"
    world.record(Set(str(world.unit.pk), "unit", {"name": name}))
    assert "Head" in " ".join(text_of(recall(world)))


def many_controls(world: World, count: int) -> None:
    world.record(
        *(
            Add(
                str(uuid4()),
                "control",
                {
                    "unit": str(world.unit.pk),
                    "name": f"Knob number {n}",
                    "setting": "2:30",
                    "position": n,
                },
            )
            for n in range(count)
        )
    )


def lines_of(pdf: bytes) -> list[list[tuple[str, float]]]:
    """Of each page the settings in its tables, with the height of each from the foot, in points."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        search, seen = text.search("Knob number "), []
        while (hit := search.get_next()) is not None:
            at, count = hit
            name = text.get_text_range(at, count + 2).strip()
            seen.append((name, round(text.get_charbox(at)[1], 1)))
        found.append(seen)
    return found


def test_a_unit_of_many_controls_goes_over_to_the_next_page(world: World) -> None:
    many_controls(world, 60)
    pdf = recall(world)
    pages = lines_of(pdf)
    told = re.findall(r"Knob number (\d+)", " ".join(text_of(pdf)))
    # Each is there once: drawn with its words, and not also in a table.
    assert all(told.count(str(n)) == 1 for n in range(10, 60))
    # Nothing runs into the foot of a page: its margin is 18 mm, which are 51 points.
    assert min(height for page in pages for _, height in page) > 50


def test_a_long_legend_goes_over_to_the_next_page(world: World, photo: Photo) -> None:
    for n in range(40):
        words = (
            f"Knob number {n:02d}, with many words on what is to be seen there, and on why it is so"
        )
        add_pin(world, photo, words=words, position=n, x=f"0.{n:02d}")
    pages = lines_of(recall(world))
    assert {name for page in pages for name, _ in page} >= {
        f"Knob number {n:02d}" for n in range(40)
    }
    assert min(height for page in pages for _, height in page) > 50
