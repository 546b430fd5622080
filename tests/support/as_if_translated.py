"""Languages in which every translated text stands in brackets: ⟦Save⟧. What stands outside of them
on a page is either what people typed, or was never given to the translations. English stays as it
is, so that what is stored in it is not taken for what is read."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any
from unittest import mock

from django.conf import settings
from django.template import engines
from django.utils import formats, translation

from tests.support.unmarked import SAME_EVERYWHERE, SILENT, SPOKEN, WORD

BEGIN, END = "⟦", "⟧"
VOID = {"input", "img", "br", "hr", "wbr"}
DECIMAL = "‚"  # no text of ours has this low quotation mark between figures
LANGUAGE = "fr"  # any but English
FIRST = re.compile(r"\b1er\b")  # of a month, as that language writes it


def _said(text: str) -> str:
    is_english = (translation.get_language() or settings.LANGUAGE_CODE) == settings.LANGUAGE_CODE
    return text if is_english or not text else f"{BEGIN}{text}{END}"


FUNCTIONS: dict[str, Callable[..., str]] = {
    "gettext": _said,
    "ngettext": lambda one, more, n: _said(one if n == 1 else more),
    "pgettext": lambda _context, text: _said(text),
    "npgettext": lambda _context, one, more, n: _said(one if n == 1 else more),
}


@contextmanager
def as_if_translated() -> Iterator[None]:
    """Let all but English be said in brackets, and decimals have a sign of their own."""
    real = formats.get_format

    def get_format(kind: str, *args: Any, **more: Any) -> Any:
        return DECIMAL if kind == "DECIMAL_SEPARATOR" else real(kind, *args, **more)

    trans: Any = translation._trans  # type: ignore[attr-defined]
    functions = mock.patch.multiple(trans, create=True, **FUNCTIONS)
    with functions, mock.patch.object(formats, "get_format", get_format):
        _forget_words()
        try:
            yield
        finally:
            _forget_words()


def _forget_words() -> None:
    """What was remembered with its words must not be found in another language."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] in ("core", "rigs", "notes"):
            for each in list(vars(module).values()):
                if callable(clear := getattr(each, "cache_clear", None)):
                    clear()
    # A template keeps rows with their words ({% kept %}).
    backend: Any = engines["django"]
    for loader in backend.engine.template_loaders:
        loader.reset()


def outside(text: str) -> str:
    """`text` without what stands in brackets, however deep."""
    depth, kept = 0, []
    for character in text:
        if character == BEGIN:
            depth += 1
            kept.append("\n")
        elif character == END:
            depth = max(0, depth - 1)
        elif not depth:
            kept.append(character)
    return "".join(kept)


class _Words(HTMLParser):
    """What a page says, text by text, and the attributes in which figures were localised."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.said: list[str] = []
        self.figures: list[str] = []
        self._silent: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        as_typed = dict(attrs).get("translate") == "no"
        # Of the same name as one that is left out, to find the end of that.
        inside = bool(self._silent) and tag == self._silent[-1]
        if tag not in VOID and (tag in SILENT - {"svg"} or as_typed or inside):
            self._silent.append(tag)
        for name, value in attrs:
            if value and name in SPOKEN:
                if not (as_typed and name == "placeholder"):
                    self.said.append(value)
            elif value and re.search(rf"\d{DECIMAL}\d", value) and name != "value":
                self.figures.append(f"<{tag} {name}={value!r}>")

    def handle_endtag(self, tag: str) -> None:
        if self._silent and self._silent[-1] == tag:
            self._silent.pop()

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.said.append(data)


def untranslated(page: str, typed: re.Pattern[str]) -> list[str]:
    """What a page says outside of brackets that is nothing people typed (`typed` matches that)."""
    words = _Words()
    words.feed(page)
    # One text: brackets may begin in one element and end in another.
    whole = "\n".join(words.said)
    said = FIRST.sub("1", outside(whole))
    lines = {" ".join(line.split()) for line in said.split("\n") if WORD.search(line)}
    # What people typed is a long list: it is asked last.
    found = [
        line
        for line in lines
        if WORD.search(SAME_EVERYWHERE.sub("", line))
        and WORD.search(SAME_EVERYWHERE.sub("", typed.sub("", line)))
    ]
    return sorted({*found, *words.figures})
