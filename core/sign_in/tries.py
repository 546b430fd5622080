"""How often something may be tried: codes, words of links, mails with a link to a new password."""

from __future__ import annotations

import hashlib
from datetime import timedelta

from django.db import transaction

from core import clock
from core.models import Tries


def key_of(what: str, whose: str) -> str:
    """The digest of `whose`, so that no address stands in the table."""
    return f"{what}:{hashlib.sha256(whose.encode()).hexdigest()[:40]}"


@transaction.atomic
def used_up(key: str, *, most: int, within: timedelta) -> bool:
    """Count one more. Whether there were `most` of them before, since the first `within` ago."""
    now = clock.now()
    Tries.objects.get_or_create(key=key, defaults={"since": now})
    row = Tries.objects.select_for_update().get(key=key)
    if row.since <= now - within:
        row.count, row.since = 0, now
    row.count += 1
    row.save(update_fields=["count", "since"])
    return row.count > most


def forget(key: str) -> None:
    """Begin anew, once it went well."""
    Tries.objects.filter(key=key).delete()
