"""Addresses of pages, made quickly: a long page has hundreds of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.conf import settings
from django.urls import NoReverseMatch, get_script_prefix, reverse
from django.utils.html import escape

_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
# Found again in an address that was made with them; they stand in no pattern.
_KEYS = [UUID(int=0xABAD1DEA << 96 | n) for n in range(8)]
_NUMBERS = [914_000_000 + n for n in range(8)]


def address_of(name: str, *args: Any) -> str:
    """As `django.urls.reverse(name, args=args)`, which it asks about each shape of address once.

    Raises NoReverseMatch.
    """
    shaped = _shaped(args)
    if shaped is not None:
        shape, texts = shaped
        between = _pattern(name, shape, get_script_prefix(), settings.ROOT_URLCONF)
        if between is not None:
            return between % texts
    return reverse(name, args=args)


def _shaped(args: Sequence[Any]) -> tuple[str, tuple[str, ...]] | None:
    """“u” for each id and “n” for each number, and both as they are written; None with others,
    which may have to be quoted or may not fit."""
    shape, texts = "", []
    for arg in args:
        kind = type(arg)
        if kind is UUID:
            shape += "u"
        elif kind is int and arg >= 0:
            shape += "n"
        elif kind is str and _UUID.fullmatch(arg):
            shape += "u"
        else:
            return None
        texts.append(str(arg))
    return shape, tuple(texts)


# The root and its prefix are part of the key: tests serve other addresses.
@lru_cache(maxsize=2048)
def _pattern(name: str, shape: str, prefix: str, urls: str) -> str | None:
    """The address with %s where its arguments go; None where it has to be made one by one."""
    if len(shape) > len(_KEYS):
        return None
    args = [_KEYS[n] if kind == "u" else _NUMBERS[n] for n, kind in enumerate(shape)]
    try:
        made = reverse(name, args=args)
    except NoReverseMatch:  # raised again by who asked, with what was asked
        return None
    places = [made.find(str(arg)) for arg in args]
    # Something that would be escaped, or arguments in another order, is left to Django.
    if escape(made) != made or "%" in made or -1 in places or places != sorted(places):
        return None
    for arg in args:
        made = made.replace(str(arg), "%s")
    return made
