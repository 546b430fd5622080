"""What is kept of a cause that was taken up, in English, told in the language of the reader."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.utils.translation import gettext as _

from core.languages.marked import Said, gettext_noop
from core.languages.sentences import each_retold
from core.languages.words import leading, retold
from notes.causes.hearing import hertz
from notes.causes.kinds import ALL
from notes.listening.compare import RANGES, SENTENCES

READING = gettext_noop(
    "“{clip}” against the signed “{signed}”: {differs}. Could be: {cause}. {tells}"
)
NOTHING_BEYOND = gettext_noop("nothing beyond what takes differ in")


def reading_told(reading: str) -> str:
    """What a note reads of a sound, where the program wrote it; what a person wrote stays."""
    return retold(
        reading,
        [READING],
        differs=lambda said: each_retold(said, _difference_told, "; "),
        cause=cause_told,
        tells=lambda said: _(said) if said in _known()["tells"] else said,
    )


def cause_told(words: str) -> str:
    """“High-pass: in, at 250 Hz”."""
    known = _known()
    if words in known["labels"]:
        return _(words)
    for label in known["labels"]:
        size = words.removeprefix(f"{label}: ")
        if size != words:
            return leading(_(label), _size_told(size))
    return words


def _size_told(size: str) -> str:
    sizes = _known()["sizes"]
    return retold(size, sizes, what=lambda said: each_retold(said, _size_told))


def _difference_told(words: str) -> str:
    if words == NOTHING_BEYOND:
        return _(words)
    return retold(words, SENTENCES, where=lambda where: retold(where, RANGES))


@cache
def _known() -> dict[str, tuple[str, ...]]:
    """The messages of all kinds of causes."""
    sizes = [size.words for kind in ALL for size in kind.sizes(hertz())]
    return {
        "labels": tuple(str(kind.label) for kind in ALL),
        "tells": tuple(str(kind.tells) for kind in ALL),
        "sizes": tuple(dict.fromkeys(message for size in sizes for message in _messages(size))),
    }


def _messages(words: Any) -> Iterator[str]:
    """Those of a sentence and of its parts, but for what sets commas between them."""
    if isinstance(words, Said):
        parts = list(words.figures.values())
        if not {"before", "after"} & words.figures.keys():
            yield words.message
        for part in parts:
            yield from _messages(part)
