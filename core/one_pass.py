"""What is read from the database once, however many languages it is then told in.

    with one_pass():
        for language in languages:
            with translation.override(language):
                tell()

    @once_a_pass
    def next_shows(productions): ...

Within `one_pass`, such a function reads once for each set of arguments. What it gives may not
depend on the language, and nobody writes to it. Elsewhere it reads whenever it is called.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from core.holding import holding

P = ParamSpec("P")
R = TypeVar("R")

_read: ContextVar[dict[Any, Any] | None] = ContextVar("what was read in this pass", default=None)


@contextmanager
def one_pass() -> Iterator[None]:
    """A pass within another one is part of it."""
    if _read.get() is not None:
        yield
        return
    with holding(_read, {}):
        yield


def once_a_pass(read: Callable[P, R]) -> Callable[P, R]:
    """For arguments that are values, records, or collections of those; order counts."""

    @wraps(read)
    def reading(*args: P.args, **kwargs: P.kwargs) -> R:
        known = _read.get()
        if known is None:
            return read(*args, **kwargs)
        key = (read, _hashable(args), _hashable(kwargs))
        if key not in known:
            known[key] = read(*args, **kwargs)
        found: R = known[key]
        return found

    return reading


def _hashable(value: Any) -> Any:
    if isinstance(value, str | bytes):
        return value
    if isinstance(value, Mapping):
        return tuple((key, _hashable(each)) for key, each in value.items())
    if isinstance(value, set | frozenset):
        return frozenset(value)
    if isinstance(value, Iterable):
        # What can be read only once would be used up here.
        if isinstance(value, Iterator):
            raise TypeError("A pass cannot tell what an iterator is going to give.")
        return tuple(map(_hashable, value))
    return value
