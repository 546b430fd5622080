"""What is written one a line: each line read by itself, and all that cannot be read told at once.

Pure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from django.utils.translation import gettext as _

T = TypeVar("T")


def read_each(
    text: str,
    read: Callable[[str], T],
    *,
    name_of: Callable[[T], str],
    most: int,
    things: str,
    known: Iterable[str] = (),
) -> list[T]:
    """What the lines of `text` say, in order; blank lines are passed over.

    `read` raises ValueError for a line that says nothing it knows. No two may have one name, nor
    one of those that are `known`, whatever the case. `things` is what they are called together.
    Raises ValueError with all that is wrong, one message a line, or where there are more than
    `most`.
    """
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if len(lines) > most:
        raise ValueError(
            _("More than {most} {things} at once: take them in parts.").format(
                most=most, things=things
            )
        )
    there = {name.casefold() for name in known}
    found: list[T] = []
    wrong: list[str] = []
    said: set[str] = set()
    for number, line in lines:
        try:
            each = read(line)
            name = name_of(each)
            if name.casefold() in said:
                raise ValueError(_("“{name}” stands there twice.").format(name=name))
            if name.casefold() in there:
                raise ValueError(_("“{name}” is there already.").format(name=name))
        except ValueError as error:
            wrong.append(_("Line {number}: {error}").format(number=number, error=error))
        else:
            found.append(each)
            said.add(name.casefold())
    if wrong:
        raise ValueError("\n".join(wrong))
    return found
