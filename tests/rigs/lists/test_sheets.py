"""Lists survive the way out and back, and strangers' spreadsheets are understood."""

from __future__ import annotations

import io
import zipfile
from decimal import Decimal

import openpyxl
import pytest
from django.utils import translation
from hypothesis import example, given
from hypothesis import strategies as st

from rigs.lists.columns import BY_KEY, guess, read_out, show
from rigs.lists.sheets import MAX_UNPACKED, find_header, read, safe, unsafe, write_csv
from rigs.lists.workbook import write_xlsx
from rigs.models import Input

CELLS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=20).map(
    lambda text: " ".join(text.split())
)
ROWS = st.lists(st.lists(CELLS, min_size=3, max_size=3), min_size=1, max_size=12).filter(
    lambda rows: any(rows[-1])
)


@given(ROWS)
@example([["a,b", 'say "hi"', "=1+1"], ["שלום", "🎸", "-20"], ["'quoted", "+48", "@x"]])
def test_csv_comes_back_as_it_went(rows: list[list[str]]) -> None:
    assert read("list.csv", write_csv(rows)) == rows


@given(ROWS)
@example([["=cmd|' /C calc'!A0", "🥁", "x"], ["2026-01-02", "1e5", "007"]])
def test_xlsx_comes_back_as_it_went(rows: list[list[str]]) -> None:
    back = read("list.xlsx", write_xlsx(rows, "List"))
    padded = [row + [""] * (3 - len(row)) for row in back]
    assert padded == rows


@given(CELLS)
def test_no_exported_cell_starts_a_formula(cell: str) -> None:
    out = safe(cell)
    assert unsafe(out) == cell
    number = out.lstrip("+-").replace(".", "", 1).replace(",", "", 1).isdecimal()
    assert not out.startswith(("=", "+", "-", "@")) or number


@pytest.mark.parametrize("cell", ["'63 head", "'tis", "it's"])
def test_a_strangers_apostrophe_stays(cell: str) -> None:
    assert read("list.csv", f"Name\n{cell}\n".encode()) == [["Name"], [cell]]


def test_xlsx_never_holds_a_formula() -> None:
    """Read back by openpyxl, which knows nothing of how the rows were written."""
    cells = ["=1+1", "@x", "#N/A", "_x0041_", "a\x00\x0bb", "<&>"]
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx([cells], "List")))
    assert [cell.data_type for cell in book.active[1]] == ["s"] * len(cells)
    assert book.active.calculate_dimension() == "A1:F1"
    assert book.active.freeze_panes == "A2"
    back = read("list.xlsx", write_xlsx([cells], "List"))
    assert back == [["=1+1", "@x", "#N/A", "_x0041_", "ab", "<&>"]]


def test_ten_thousand_rows_of_a_workbook() -> None:
    rows = [["Channel", "Name", "Player"], *[[str(n), f"in {n}", "x"] for n in range(10_000)]]
    assert read("list.xlsx", write_xlsx(rows, "List")) == rows


def test_ten_thousand_rows() -> None:
    rows = [["Channel", "Name", "Player"], *[[str(n), f"in {n}", "x"] for n in range(10_000)]]
    assert read("list.csv", write_csv(rows)) == rows


UGLY = """Production rider v7 FINAL(2);;;;;
;;;;;
Ch.;Source;Mic / DI;+48V;HPF;Dist.
DRUMS;;;;;
1;Kick in;Footplate;x;;14 cm
2;Kick out;Bollard;;;3 1/4"

;;;;;
8;Bass;Hollow 2;no;0.03k;35mm
"""


def test_a_strangers_spreadsheet_is_understood() -> None:
    grid = read("rider.csv", UGLY.encode("cp1252"))
    header = find_header(grid)
    assert header == 2
    assert guess(grid[header]) == {
        0: "number",
        1: "name",
        2: "device",
        3: "phantom",
        4: "high_pass_hz",
        5: "distance",
    }


def test_merged_headings_of_a_workbook() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = "Stage plan and inputs"
    sheet.merge_cells("A1:D1")
    sheet.append([])
    sheet.append(["No", "What", "Musician", "Mic"])
    sheet.append([1, "Kick", "Maud", "Bollard"])
    sheet.append([2.0, "Snare", "Maud", None])
    out = io.BytesIO()
    book.save(out)
    grid = read("plan.xlsx", out.getvalue())
    assert grid[find_header(grid)] == ["No", "What", "Musician", "Mic"]
    assert grid[-1] == ["2", "Snare", "Maud"]


@pytest.mark.parametrize(
    ("key", "cell", "fields"),
    [
        ("number", "#7", {"number": 7}),
        ("phantom", "+48 V", {"phantom": True}),
        ("phantom", "–", {"phantom": False}),
        ("pad_db", "20 dB", {"pad_db": "-20"}),
        ("pad_db", "no", {"pad_db": None}),
        ("high_pass_hz", "0,08 kHz", {"high_pass_hz": "80"}),
        ("low_pass_hz", "12k", {"low_pass_hz": "12000"}),
        ("pan", "L50", {"pan": -50}),
        ("pan", "50 house left", {"pan": -50}),
        ("pan", "30 R", {"pan": 30}),
        ("pan", "left", {"pan": -100}),
        ("pan", "C", {"pan": 0}),
        ("distance", '3 1/4"', {"distance_m": "0.08255", "distance_unit": "in"}),
        ("gain_db", "−6 dB", {"gain_db": "-6"}),
        ("high_pass_hz", "off", {"high_pass_hz": None}),
        ("low_pass_hz", "flat", {"low_pass_hz": None}),
    ],
)
def test_cells_are_read_as_they_are_meant(key: str, cell: str, fields: dict[str, object]) -> None:
    assert BY_KEY[key].read(cell) == fields


@pytest.mark.parametrize(
    ("key", "cell", "words"),
    [
        ("number", "seven", "“seven” is not a channel number."),
        ("phantom", "maybe", "“maybe” is neither yes nor no."),
        ("pan", "L200", "“L200” is not a pan position"),
        ("distance", "a bit", "“a bit” is not a length"),
        ("gain_db", "nan", "“nan” is not a gain in dB."),
    ],
)
def test_what_cannot_be_read_is_said(key: str, cell: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        BY_KEY[key].read(cell)


def packed(sheet: str) -> bytes:
    """A workbook whose one sheet is `sheet`."""
    source, out = io.BytesIO(write_xlsx([["x"]], "x")), io.BytesIO()
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, sheet if "sheet1" in name else old.read(name))
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty."),
        (b"\x00\x01\x02binary", "neither CSV nor XLSX"),
        (b"PK\x03\x04broken", "cannot be read as XLSX"),
        (packed("<worksheet><sheetData><row>"), "cannot be read as XLSX"),
        (packed(" " * (MAX_UNPACKED + 1)), "holds more than an input list can"),
        (b" , ,\n,,", "holds no text"),
    ],
    ids=["empty", "binary", "no-zip", "broken-xml", "bomb", "blank"],
)
def test_what_is_no_list_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        read("x", data)


def test_a_list_without_headings_is_refused() -> None:
    with pytest.raises(ValueError, match="needs headings"):
        find_header([["1", "Kick"], ["2", "Snare"]])


def test_inches_are_exact() -> None:
    """25.4 mm to the inch by definition (NIST SP 811, appendix B.8)."""
    assert Decimal("3.25") * Decimal("0.0254") == Decimal("0.08255")


def test_a_page_says_yes_and_no_in_the_language_of_the_reader_and_a_file_does_not() -> None:
    switched = Input(phantom=True)
    with translation.override("de"):
        assert (show("phantom", switched), read_out("phantom", switched)) == ("yes", "ja")
        assert read_out("phantom", Input(phantom=False)) == "nein"
