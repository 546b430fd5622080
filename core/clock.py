"""The present moment. The demonstration tells a story of weeks, so it can set the clock."""

from __future__ import annotations

from contextlib import AbstractContextManager
from contextvars import ContextVar
from datetime import datetime

from django.utils import timezone

from core.holding import holding

# A context variable: requests that other threads serve meanwhile keep the real time.
_set_to: ContextVar[datetime | None] = ContextVar("clock_set_to", default=None)


def now() -> datetime:
    """The present moment, aware, in UTC."""
    return _set_to.get() or timezone.now()


def set_to(moment: datetime) -> AbstractContextManager[None]:
    """Let `now` be `moment` in this context."""
    return holding(_set_to, moment)
