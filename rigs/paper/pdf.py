"""Turn a Typst template and data into a PDF.

Data travels as JSON through an input of the compiler, never as markup, so that no text of a user's
is run; the compiler may read the template's folder and the pictures given, and nothing else.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

import typst
from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import get_language

from core.text import all_printable
from rigs.paper.words import words

TEMPLATES = Path(__file__).parent / "typ"
# Japanese; the letters of the other languages come with the compiler.
FONTS = Path(__file__).parent / "fonts"


# What the compiler says where a letter is in no font: of text, and of text in a drawing.
_NO_LETTER = ("could not be displayed with font", "text with missing codepoints")


class Paper(StrEnum):
    """The sizes of paper that crews print on, by their names in Typst."""

    A4 = "a4"
    LETTER = "us-letter"


def press(
    template: str, data: Mapping[str, Any], *, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """The PDF of `template` (a name in rigs/paper/typ) with `data`, in the language that is read.
    Tagged, PDF/UA-1.

    `pictures` are files the template may show, by name. Where a letter is in no font of the machine
    the sheet is made all the same, tagged but without the claim: a sheet with a gap can be read.
    """
    # Typst reads below one root only: template and pictures are laid together in a folder.
    with tempfile.TemporaryDirectory(prefix="toneledger-paper-") as folder:
        root = Path(folder)
        for source in _templates():
            # The compiler wants the first file itself, and follows a link to any other.
            if source.name == template:
                shutil.copyfile(source, root / source.name)
            else:
                (root / source.name).symlink_to(source)
        for name, content in (pictures or {}).items():
            (root / name).write_bytes(content)
        said = {"language": _language(), "words": words()}
        source_data = json.dumps(all_printable({**data, **said}), default=_translated)
        try:
            return _compiled(root, template, source_data, claimed=True)
        except typst.TypstError as error:
            # Nothing but its message tells this error from the others.
            if not any(said in str(error) for said in _NO_LETTER):
                raise
            return _compiled(root, template, source_data, claimed=False)


def _translated(words: object) -> str:
    """What was marked before a language was known."""
    if isinstance(words, Promise):
        return str(words)
    raise TypeError(f"{type(words).__name__} is nothing to print")


def _language() -> str:
    """As Typst names it: by it words are broken, and letters are chosen."""
    return (get_language() or settings.LANGUAGE_CODE).split("-")[0]


@cache
def _templates() -> list[Path]:
    return list(TEMPLATES.resolve().glob("*.typ"))


@cache
def _fonts() -> typst.Fonts:
    """Ours, those of the machine and of the compiler, looked up once: that takes longer than a
    sheet."""
    return typst.Fonts(font_paths=[str(FONTS)])


def _compiled(root: Path, template: str, data: str, *, claimed: bool) -> bytes:
    return bytes(
        typst.compile(
            str(root / template),
            root=str(root),
            font_paths=_fonts(),
            sys_inputs={"data": data},
            pdf_standards=["ua-1"] if claimed else [],
        )
    )
