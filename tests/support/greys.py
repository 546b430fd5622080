"""The colours that a sheet sets, read with pikepdf (qpdf)."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pikepdf

_SET = re.compile(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn?|SCN?)\b")


def coloured(pdf: bytes) -> list[tuple[bytes, ...]]:
    """Every colour of its pages that is no grey; photos are not looked at."""
    found = []
    with pikepdf.open(BytesIO(pdf)) as document:
        for sheet in document.pages:
            parts = [*_contents(sheet), *_forms(sheet.get("/Resources"))]
            drawn = b"".join(each.read_bytes() for each in parts)
            found += [rgb for rgb in _SET.findall(drawn) if len(set(rgb)) > 1]
    return found


def _contents(sheet: Any) -> list[Any]:
    found = sheet.Contents
    return list(found) if isinstance(found, pikepdf.Array) else [found]


def _forms(resources: Any) -> list[Any]:
    found = []
    for each in (resources or {}).get("/XObject", {}).values():
        if each.get("/Subtype") == "/Form":
            found += [each, *_forms(each.get("/Resources"))]
    return found
