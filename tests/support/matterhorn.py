"""Failure conditions of PDF/UA-1 that a program can find, read with pikepdf (qpdf), which knows
nothing of how the file was made.

The numbers are those of the Matterhorn Protocol 1.1 (PDF Association), from memory; clauses are of
ISO 14289-1:2014.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pikepdf

Element = Any
TABLE_ROWS = {"/TR", "/THead", "/TBody", "/TFoot", "/Caption"}


def failures(pdf: bytes) -> list[str]:
    """What is wrong, each with its number; empty if nothing was found."""
    with pikepdf.open(BytesIO(pdf)) as document:
        return [
            *_catalogue(document),
            *_metadata(document),
            *_structure(document),
            *_annotations(document),
            *_fonts(document),
        ]


def _catalogue(document: pikepdf.Pdf) -> Iterator[str]:
    root = document.Root
    marks = root.get("/MarkInfo", {})
    if not marks or not bool(marks.get("/Marked", False)):
        yield "clause 6.2: not marked as tagged"
    if bool(marks.get("/Suspects", False)) if marks else False:
        yield "01-007: tags are suspect"
    if "/StructTreeRoot" not in root:
        yield "clause 7.1: no structure tree"
    if not str(root.get("/Lang", "")):
        yield "11-006: no language"
    view = root.get("/ViewerPreferences")
    if view is None or "/DisplayDocTitle" not in view:
        yield "07-001: does not say whether its title is shown"
    elif not bool(view["/DisplayDocTitle"]):
        yield "07-002: its title is not shown"


def _metadata(document: pikepdf.Pdf) -> Iterator[str]:
    if "/Metadata" not in document.Root:
        yield "06-001: no XMP metadata"
        return
    packet = document.Root.Metadata.read_bytes().decode()
    if not re.search(r"pdfuaid:part(?:>|=[\"'])1", packet):
        yield "06-002: does not say that it is PDF/UA-1"
    with document.open_metadata() as metadata:
        if not str(metadata.get("dc:title", "")).strip():
            yield "06-003: no title in its metadata"


def elements(document: pikepdf.Pdf) -> list[Element]:
    """All structure elements, in reading order."""
    return list(_below(document.Root.StructTreeRoot))


def _below(element: Element) -> Iterator[Element]:
    for child in _children(element):
        yield child
        yield from _below(child)


def _children(element: Element) -> list[Element]:
    found = element.get("/K", [])
    rows = list(found) if isinstance(found, pikepdf.Array) else [found]
    return [row for row in rows if isinstance(row, pikepdf.Dictionary) and "/S" in row]


def _structure(document: pikepdf.Pdf) -> Iterator[str]:
    if "/StructTreeRoot" not in document.Root:
        return
    # PDF/UA counts headings over the whole document, not page by page.
    level = 0
    for element in elements(document):
        kind = str(element.S)
        if kind == "/Figure" and not str(element.get("/Alt", element.get("/ActualText", ""))):
            yield "13-004: a figure without words"
        if re.fullmatch(r"/H[1-6]", kind):
            here = int(kind[2:])
            if level == 0 and here != 1:
                yield "14-002: the first heading is not H1"
            if here > level + 1:
                yield f"14-003: from H{level} to H{here}"
            level = here
        if kind == "/Table":
            yield from _table(element)
        if kind == "/L" and any(
            str(each.S) not in ("/LI", "/L", "/Caption") for each in _children(element)
        ):
            yield "09-005: a list of something else than items"


def _table(table: Element) -> Iterator[str]:
    if any(str(each.S) not in TABLE_ROWS for each in _children(table)):
        yield "09-004: a table of something else than rows"
    heads = [each for each in _below(table) if str(each.S) == "/TH"]
    if not heads:
        yield "15-002: a table without a head"
    for head in heads:
        said = head.get("/A", [])
        rows = list(said) if isinstance(said, pikepdf.Array) else [said]
        scoped = any(isinstance(row, pikepdf.Dictionary) and "/Scope" in row for row in rows)
        if not scoped:
            yield "15-003: a head of a table that does not say of what"


def _annotations(document: pikepdf.Pdf) -> Iterator[str]:
    for number, page in enumerate(document.pages, start=1):
        if "/Annots" in page and str(page.get("/Tabs", "")) != "/S":
            yield f"28-009: page {number} is not tabbed through in the order of its structure"


def _fonts(document: pikepdf.Pdf) -> Iterator[str]:
    for thing in document.objects:
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font":
            inner = thing.get("/DescendantFonts")
            font = inner[0] if inner is not None else thing
            described = font.get("/FontDescriptor", {})
            if thing.get("/Subtype") in ("/Type3", "/CIDFontType0", "/CIDFontType2"):
                continue  # drawn in the file itself; reached by way of its Type 0 font
            if not any(f"/FontFile{n}" in described for n in ("", "2", "3")):
                yield f"31-009: {font.get('/BaseFont')} is not embedded"
            if inner is not None and "/ToUnicode" not in thing:
                yield f"31-027: {font.get('/BaseFont')} does not say which characters it shows"
