"""A workbook as a festival sends it: titles, merged headings, mixed units, blank lines, dashes."""

from __future__ import annotations

import io

import openpyxl
import pytest

from rigs.list_import.services import apply, import_list, preview
from rigs.models import Input
from tests.support.world import HIRE, World


@pytest.fixture
def workbook() -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = "SEDGEHOLM FESTIVAL: patch v7 FINAL(2)"
    sheet.merge_cells("A1:I1")
    sheet.append([])
    sheet.append(
        ["Ch.", "Source", "Player", "Mic / DI", "Preamp", None, None, "LoCut", "Dist. (cm)"]
    )
    sheet.merge_cells("E3:G3")
    sheet.append([None, None, None, None, "Gain", "Pad", "+48V", None, None])
    sheet.append(["BASS"])
    sheet.append([7.0, "Bass mic", None, "Eskvane 4", "31 dB", -20, "x", "0.04k", 14.5])
    sheet.append([None] * 9)
    sheet.append([8, "Bass DI", None, "—", "n/a", "–", "–", "off", '3 1/4"'])
    sheet.append(["#9", 'Room שלום, "far" 🎸', "Ines Halloran", None, None, None, None, 80, None])
    sheet.append(["Total", 3])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_every_row_is_understood_or_says_why_not(world: World, workbook: bytes) -> None:
    found = import_list(
        production=world.production, by=world.tech, name="patch.xlsx", data=workbook
    )
    shown = preview(found)
    assert [row.number for row in shown.rows] == [6, 8, 9]
    assert [(line.number, line.why) for line in shown.lines if line.why] == [(10, "a total")]
    assert shown.rows[0].changes == [
        ("Microphone or DI", "Corvane Hollow 2", "Corvane Eskvane 4"),
        ("Phantom", "no", "yes"),
        ("Pad, dB", "", "-20"),
        ("Gain, dB", "", "31"),
        ("HPF, Hz", "30", "40"),
        ("Distance", "35 mm", "14.5 cm"),
    ]
    assert shown.rows[1].changes == [
        ("Channel", "", "8"),
        ("Name", "", "Bass DI"),
        ("Distance", "", "3.25 in"),
    ]
    apply(list_import=found, by=world.tech, reason=HIRE, seen=shown.seen)
    assert Input.objects.get(number=9).name == 'Room שלום, "far" 🎸'
    again = import_list(
        production=world.production, by=world.tech, name="patch.xlsx", data=workbook
    )
    assert preview(again).changing == []
