"""A context variable that has a value within a block, and what it had before after it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

T = TypeVar("T")


@contextmanager
def holding(variable: ContextVar[T], value: T) -> Iterator[None]:
    token = variable.set(value)
    try:
        yield
    finally:
        variable.reset(token)
