"""What is made of an uploaded file, made once in a request."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.core.files.base import File

Made = TypeVar("Made")


def made_once(file: File[Any], make: Callable[[Any], Made], refused: type[Exception]) -> Made:
    """What `make` makes of the file, or the error `refused` that it raised, made once and kept on
    the file.

    Both the step before the transaction and the field of the form ask, and decoding takes seconds.
    """
    known: dict[Callable[[Any], Any], Any] = file.__dict__.setdefault("made_once", {})
    if make not in known:
        try:
            known[make] = make(file)
        except refused as error:
            known[make] = error
    if isinstance(known[make], refused):
        raise known[make]
    made: Made = known[make]
    return made
