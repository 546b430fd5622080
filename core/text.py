"""Which text can be written anywhere: on pages, in drawings, on paper, in lists and file names.

Some code points are no characters that XML 1.0 (section 2.2, production Char) can hold: controls
other than tab and line breaks, halves of surrogate pairs, U+FFFE and U+FFFF. They come
with pasted text and from faulty programs. They are removed from what people type; what programs
send with them is refused; and what is written out leaves them out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def printable(text: str) -> str:
    """`text` without what cannot be printed."""
    return UNPRINTABLE.sub("", text)


def all_printable(value: Any) -> Any:
    """`value`, made of mappings, sequences and plain values, with every text in it printable."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {all_printable(key): all_printable(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [all_printable(each) for each in value]
    return value


def unprintable(value: Any, place: str = "") -> Iterator[str]:
    """What cannot be printed in `value`, each with its place: `edits.0.fields.name: U+FFFE`."""
    if isinstance(value, str):
        for character in UNPRINTABLE.findall(value):
            yield f"{place}: U+{ord(character):04X}" if place else f"U+{ord(character):04X}"
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from unprintable(key, place)
            # The message is printed, too, so that its place must not hold what it complains of.
            yield from unprintable(each, f"{place}.{printable(str(key))}".lstrip("."))
    elif isinstance(value, list | tuple):
        for index, each in enumerate(value):
            yield from unprintable(each, f"{place}.{index}".lstrip("."))


def one_line(text: str) -> str:
    """`text` for a header of a mail or of an answer, where a line break would end it."""
    return " ".join(printable(text).split())
