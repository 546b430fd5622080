"""The log-ins of a person, and their end."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest

from core import clock
from core.models import LogIn, User
from core.sign_in.sessions import IDLE, digest_of


def of(person: User) -> QuerySet[LogIn]:
    """Those that still open something, the one that was used last first."""
    now = clock.now()
    return person.log_ins.filter(
        expire_date__gt=now,
        used_at__gt=now - IDLE,
        began_at__gt=now - timedelta(seconds=settings.SESSION_COOKIE_AGE),
    ).order_by("-used_at")


def this_one(request: HttpRequest) -> str:
    """The key by which the table knows the log-in of this request."""
    return digest_of(request.session.session_key or "")


@transaction.atomic
def end(person: User, key: str) -> bool:
    """End one of theirs. False if there is none of that key."""
    # One by one, as `delete` of Django's does with a signal for each: open pages are told.
    return bool(LogIn.objects.filter(user=person, pk=key).delete()[0])


@transaction.atomic
def end_all(person: User, *, but: Any = None) -> int:
    """End all of theirs, or all `but` the one of that key; how many."""
    return LogIn.objects.filter(user=person).exclude(pk=but).delete()[0]
