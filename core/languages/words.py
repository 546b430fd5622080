"""Numbers and lists in words, as the language of the reader writes them.

For the eye alone: what programs read (files, drawings, addresses, columns) has a full stop.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cache
from string import Formatter
from typing import Any, TypeVar

from django.conf import settings
from django.utils import translation
from django.utils.formats import get_format
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from core.languages.marked import Said

T = TypeVar("T")
MINUS = "−"


def in_each_language(say: Callable[[], T]) -> Iterator[T]:
    """What `say` gives in English, and then in each language of the catalogues."""
    english = settings.LANGUAGE_CODE
    for language in dict.fromkeys([english, *(code for code, _name in settings.LANGUAGES)]):
        with translation.override(language):
            yield say()


@cache
def in_every_language(words: str) -> frozenset[str]:
    """Words of ours in English and in each language, to find what somebody has taken over as text
    of their own, such as the name of a usual control."""
    return frozenset(in_each_language(lambda: _(words)))


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


def each_of(things: Iterable[object]) -> str:
    """“A, B, C” of whatever is not empty, with the comma of the language."""
    return _(", ").join(_said(things))


def apart(things: Iterable[object]) -> str:
    """“A; B; C” of whatever is not empty, for what has commas of its own."""
    return _("; ").join(_said(things))


def _said(things: Iterable[object]) -> list[str]:
    return [text for thing in things if (text := "" if thing is None else str(thing))]


def lead(label: object) -> str:
    """“Label:”, so that more can follow; a question or “…” leads by itself."""
    words = str(label)
    return words if words.endswith(("?", "？", "…")) else _("{label}:").format(label=words)  # noqa: RUF001


def leading(label: object, what: object) -> str:
    """“Label: what follows”; where one of them is empty, the other alone."""
    first, last = _said([label]), _said([what])
    if not (first and last):
        return "".join([*first, *last])
    return _("{label}: {what}").format(label=first[0], what=last[0])


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


# One that is counted has both its forms, as `ngettext` takes them, and `{n}`.
Message = str | tuple[str, str]


def retold(words: str, messages: Iterable[Message], **figures: Callable[[str], str]) -> str:
    """What one of `messages` was made into and stored in English, in the language of the reader;
    as it is, if none was. Where more than one fits, the one that says most itself counts.

    `figures` say by name how what stands for a figure is told in turn. What a message writes by a
    format is a number, and gets the decimal sign of the language.
    """
    for message, form in _most_said_first(tuple(messages)):
        if found := _shape(form).fullmatch(words):
            return _told_again(message, found, figures)
    return words


def retold_in_turn(words: str, messages: Iterable[Message], **figures: Callable[[str], str]) -> str:
    """The same for one sentence after another, with spaces between them. From the first that none
    of `messages` was made into, the rest stays."""
    forms = _most_said_first(tuple(messages))
    done: list[str] = []
    while words:
        tried = ((message, _begun(form).match(words)) for message, form in forms)
        message, found = next(((m, found) for m, found in tried if found), ("", None))
        if found is None:
            return " ".join([*done, words])
        done.append(_told_again(message, found, figures))
        words = words[found.end() :]
    return " ".join(done)


def _told_again(
    message: Message, found: re.Match[str], figures: Mapping[str, Callable[[str], str]]
) -> str:
    told_in_turn = {
        name: figures[name](text) if name in figures else text
        for name, text in found.groupdict().items()
    }
    if isinstance(message, str):
        return _AGAIN.vformat(_(message), (), told_in_turn)
    one, many = message
    n = int(found.groupdict().get("n") or 1)
    return _AGAIN.vformat(ngettext(one, many, n), (), {"n": n, **told_in_turn})


@cache
def _most_said_first(messages: tuple[Message, ...]) -> list[tuple[Message, str]]:
    def said(form: str) -> int:
        return sum(len(text) for text, *_figure in Formatter().parse(form))

    forms = [
        (message, form)
        for message in messages
        for form in ([message] if isinstance(message, str) else message)
    ]
    return sorted(forms, key=lambda each: said(each[1]), reverse=True)


@cache
def _shape(form: str) -> re.Pattern[str]:
    return re.compile(_pattern(form), re.DOTALL)


@cache
def _begun(form: str) -> re.Pattern[str]:
    return re.compile(f"{_pattern(form)}(?: |$)", re.DOTALL)


def _pattern(form: str) -> str:
    """What has a format, or counts, is a number; all else may be any text."""
    return "".join(
        re.escape(text)
        + (f"(?P<{name}>{_NUMBER if spec or name == 'n' else '.+?'})" if name else "")
        for text, name, spec, _conversion in Formatter().parse(form)
    )


_NUMBER = r"[-−+]?\d[\d.e+-]*"


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


class _Again(Formatter):
    """Writes figures that were read from a text."""

    def format_field(self, value: Any, format_spec: str) -> str:
        return localised(str(value)) if format_spec else str(value)


_AGAIN = _Again()


def _joined(things: Iterable[object], pair: str) -> str:
    *before, last = [str(each) for each in things] or [""]
    if not before:
        return last
    return pair.format(first=_(", ").join(before), last=last)
