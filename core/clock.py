"""The present moment. The demonstration tells a story of weeks, so it can set the clock."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime

from django.utils import timezone

# A context variable: requests that other threads serve meanwhile keep the real time.
_set_to: ContextVar[datetime | None] = ContextVar("clock_set_to", default=None)


def now() -> datetime:
    """The present moment, aware, in UTC."""
    return _set_to.get() or timezone.now()


@contextmanager
def set_to(moment: datetime) -> Iterator[None]:
    """Let `now` be `moment` in this context."""
    token = _set_to.set(moment)
    try:
        yield
    finally:
        _set_to.reset(token)
