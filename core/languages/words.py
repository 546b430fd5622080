"""Numbers and lists in words, as the language of the reader writes them.

For the eye alone: what programs read (files, drawings, addresses, columns) has a full stop.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from functools import cache
from string import Formatter
from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.formats import get_format
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from core.languages.marked import Said

MINUS = "−"


@cache
def in_every_language(words: str) -> frozenset[str]:
    """Words of ours in English and in each language, to find what somebody has taken over as text
    of their own, such as the name of a usual control."""
    found = {words}
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            found.add(_(words))
    return frozenset(found)


def number(value: float | Decimal, places: int | None = None) -> str:
    """`value` with `places` behind the decimal sign, or as it is; a true minus sign.

    “1.50” in English, “1,50” in German. Never −0.
    """
    text = f"{value:.{places}f}" if places is not None else _plain(value)
    if text.startswith("-") and not text.strip("-0."):
        text = text[1:]
    return localised(text).replace("-", MINUS)


def signed(value: float | Decimal, places: int | None = None) -> str:
    """Like `number`, with a plus sign in front of what is above nothing: “+1.5”."""
    text = number(value, places)
    return text if text.startswith(MINUS) or not text.strip("0.,") else f"+{text}"


def localised(figure: str) -> str:
    """A figure that is written out, with the decimal sign of the reader's language."""
    return figure.replace(".", decimal_sign())


def decimal_sign() -> str:
    return str(get_format("DECIMAL_SEPARATOR"))


def _plain(value: float | Decimal) -> str:
    text = format(value.normalize(), "f") if isinstance(value, Decimal) else repr(value)
    return text.removesuffix(".0")


def without_unit(label: str) -> str:
    """“HPF” of “HPF, Hz”, which Japanese writes “HPF（Hz）”: the unit goes with the value."""  # noqa: RUF002
    return label.split(", ")[0].split("（")[0]  # noqa: RUF001


def inside(label: str) -> str:
    """A label inside a sentence, in small letters; German keeps the capitals of its nouns."""
    return label if (get_language() or "").startswith("de") else label.lower()


def all_of(things: Iterable[object]) -> str:
    """“A”, “A and B”, “A, B and C”."""
    return _joined(things, _("{first} and {last}"))


def one_of(things: Iterable[object]) -> str:
    """“A”, “A or B”, “A, B or C”."""
    return _joined(things, _("{first} or {last}"))


def quoted(title: object) -> str:
    """“Title”, in the marks of quotation of the language."""
    return _("“{title}”").format(title=title)


def told(words: str) -> str:
    """`words` in the language of the reader, with their figures; as they are, if nobody marked
    them."""
    if not isinstance(words, Said):
        return words
    shape = ngettext(words.message, words.plural, words.n) if words.plural else _(words.message)
    return _FIGURES.vformat(shape, (), {"n": words.n, **words.figures})


def retold(words: str, messages: Iterable[str], **figures: Callable[[str], str]) -> str:
    """What one of `messages` was made into and stored in English, in the language of the reader;
    as it is, if none was. Where more than one fits, the one that says most itself counts.

    `figures` say by name how what stands for a figure is told in turn.
    """
    for message in _most_said_first(tuple(messages)):
        if found := _shape(message).fullmatch(words):
            told_in_turn = {
                name: figures[name](text) if name in figures else text
                for name, text in found.groupdict().items()
            }
            return _(message).format(**told_in_turn)
    return words


@cache
def _most_said_first(messages: tuple[str, ...]) -> list[str]:
    def said(message: str) -> int:
        return sum(len(text) for text, *_figure in Formatter().parse(message))

    return sorted(messages, key=said, reverse=True)


@cache
def _shape(message: str) -> re.Pattern[str]:
    texts = (
        re.escape(text) + (f"(?P<{name}>.+?)" if name else "")
        for text, name, _spec, _conversion in Formatter().parse(message)
    )
    return re.compile("".join(texts), re.DOTALL)


class _Figures(Formatter):
    """Writes each figure as the language of the reader does."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, tuple):
            return all_of(told(each) for each in value)
        if isinstance(value, str):
            return told(value)
        written = format(value, format_spec)
        return localised(written) if isinstance(value, float) else written


_FIGURES = _Figures()


def _joined(things: Iterable[object], pair: str) -> str:
    *before, last = [str(each) for each in things] or [""]
    if not before:
        return last
    return pair.format(first=_(", ").join(before), last=last)
