"""Sheets speak the language of whoever reads, and Japanese has its letters and its line breaks.

Read back by PDFium, which knows nothing of how a sheet was made.
"""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from django.utils import translation

from rigs.changes.edits import Set
from rigs.models import Revision
from rigs.paper import pdf
from rigs.paper.pdf import TEMPLATES, Paper
from rigs.paper.sheets import recall_sheet
from rigs.paper.words import WORDS, words
from tests.support.world import World

ADDRESS = "http://127.0.0.1:8000/p/3f2a/rigs/77b1/"
# Twelve letters that look nothing like each other; a box stands for each that is in no font.
LETTERS = "音響機材歪深低弦楽器あア"
NOTE = (
    "低音は太く、木の響きを残す。歪みは加えない。弦の張りは強め、奏者の左手の癖を消さないこと。"
    "終演後は電源を切り、真空管が冷めるまで動かさない。"
)
CLOSING = "、。」）"  # never at the beginning of a line
SCALE = 4


def recalled(world: World, **rig: str) -> bytes:
    world.record(Set(str(world.rig.pk), "rig", rig))
    world.rig.refresh_from_db()
    newest = Revision.objects.get(rig=world.rig, number=world.rig.head_number)
    return recall_sheet(world.rig, newest, address=ADDRESS, paper=Paper.A4)


def test_what_sheets_ask_for_is_what_is_translated() -> None:
    source = "".join(path.read_text() for path in TEMPLATES.glob("*.typ"))
    asked = set(re.findall(r'say(?:-marked)?\(\s*"([^"]+)"', source))
    assert asked == {*words()}
    assert {*WORDS} <= asked


def test_a_sheet_says_its_words_in_the_language_of_the_reader(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    shouted = {
        each: each.upper().replace("{AT}", "{at}").replace("{LAST}", "{last}") for each in words()
    }
    monkeypatch.setattr(pdf, "words", lambda: shouted)
    with translation.override("de"):
        sheet = pypdfium2.PdfDocument(recalled(world, notes="Pick near the neck."))
    text = sheet[0].get_textpage().get_text_range()
    assert "UNITS AND SETTINGS" in text
    assert "Units and settings" not in text
    assert f"PAGE 1 OF {len(sheet)}" in text
    assert language_of(sheet) == "de"


def language_of(sheet: pypdfium2.PdfDocument) -> str:
    length = pdfium.FPDFCatalog_GetLanguage(sheet, None, 0)
    buffer = (pdfium.FPDF_WCHAR * (length // 2))()
    pdfium.FPDFCatalog_GetLanguage(sheet, buffer, length)
    return bytes(buffer).decode("utf-16-le").rstrip("\0").lower()


def test_no_letter_of_japanese_is_missing(world: World) -> None:
    """Each letter looks like none of the others: boxes for missing ones would all look the same."""
    with translation.override("ja"):
        sheet = pypdfium2.PdfDocument(recalled(world, name=LETTERS))
    page, seen = sheet[0], {}
    text = page.get_textpage()
    bitmap = page.render(scale=SCALE, grayscale=True).to_numpy()
    said = [text.get_text_range(at, 1) for at in range(text.count_chars())]
    height = page.get_height()
    for letter in LETTERS:
        left, bottom, right, top = text.get_charbox(said.index(letter))
        rows = slice(round((height - top) * SCALE), round((height - bottom) * SCALE))
        drawn = bitmap[rows, round(left * SCALE) : round(right * SCALE)]
        side = np.linspace(0, 0.999, 24)
        seen[letter] = drawn[np.ix_(*((side * size).astype(int) for size in drawn.shape))] < 128
    for one, other in combinations(LETTERS, 2):
        assert np.mean(seen[one] != seen[other]) > 0.05, f"{one} looks like {other}"
    assert language_of(sheet) == "ja"


def test_japanese_is_broken_by_its_own_rules(world: World) -> None:
    with translation.override("ja"):
        sheet = pypdfium2.PdfDocument(recalled(world, notes=NOTE * 4))
    lines = "\n".join(page.get_textpage().get_text_range() for page in sheet).splitlines()
    told = [line for line in lines if line and line[0] in NOTE]
    assert len(told) > 3
    assert "".join(told).count("真空管") == 4
    assert not [line for line in lines if line[:1] in CLOSING and line]
