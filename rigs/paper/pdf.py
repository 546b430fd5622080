"""Turn a Typst template and data into a PDF.

Sheets are made a few at a time, and one that fails is tried once more: on a machine that is short
of memory, files or time it is said that it did not work now.

Data travels as JSON through an input of the compiler, never as markup, so that no text of a user's
is run; the compiler may read the template's folder and the pictures given, and nothing else.
"""

from __future__ import annotations

import json
import logging
import shutil
import tempfile
import time
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from pathlib import Path
from threading import BoundedSemaphore
from typing import Any

import typst
from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from core.guests.left_out import given_out
from core.not_now import NotNow
from core.text import all_printable
from rigs.paper.words import words

TEMPLATES = Path(__file__).parent / "typ"
# Japanese; the letters of the other languages come with the compiler.
FONTS = Path(__file__).parent / "fonts"


# As many are made at once in a process: each takes a processor and some ten megabytes.
AT_ONCE = 2
_turns = BoundedSemaphore(AT_ONCE)
PATIENCE_S = 20.0
AGAIN_S = 0.3

# What the compiler says where a letter is in no font: of text, and of text in a drawing.
_NO_LETTER = ("could not be displayed with font", "text with missing codepoints")


# The compiler tells a file that could not be opened by the same error as a mistake of ours.
_MAY_PASS = (OSError, MemoryError, typst.TypstError)
log = logging.getLogger(__name__)


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
    Raises NotNow where no turn comes within PATIENCE_S, or where it fails twice.
    """
    if not _turns.acquire(timeout=PATIENCE_S):
        log.warning("No turn within %s s to make %s.", PATIENCE_S, template)
        raise _not_now()
    try:
        try:
            return _made(template, data, pictures or {})
        except _MAY_PASS:
            log.warning("Making %s failed, and is tried again.", template, exc_info=True)
            time.sleep(AGAIN_S)
        return _made(template, data, pictures or {})
    except _MAY_PASS:
        log.exception("Making %s failed twice.", template)
        raise _not_now() from None
    finally:
        _turns.release()


def _not_now() -> NotNow:
    return NotNow(
        _(
            "This sheet could not be made just now. Nothing is lost: go back, and ask for it again "
            "in a moment. If it stays so, the log of the service says why."
        )
    )


def _made(template: str, data: Mapping[str, Any], pictures: Mapping[str, bytes]) -> bytes:
    # Typst reads below one root only: template and pictures are laid together in a folder.
    with tempfile.TemporaryDirectory(prefix="toneledger-paper-") as folder:
        root = Path(folder)
        for source in _templates():
            # The compiler wants the first file itself, and follows a link to any other.
            if source.name == template:
                shutil.copyfile(source, root / source.name)
            else:
                (root / source.name).symlink_to(source)
        for name, content in pictures.items():
            # Drawings have words in them; other pictures are pixels.
            (root / name).write_bytes(given_out(content) if name.endswith(".svg") else content)
        said = {"language": _language(), "words": words()}
        shown = all_printable({**given_out(dict(data)), **said})
        source_data = json.dumps(shown, default=_translated)
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
