"""Who looks at a topic now. Every process and host sees the same, because it is in the database."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

from django.db import transaction

from core import clock
from core.live.telling import tell
from core.models import Presence, User

BEAT_S = 15.0
STALE = timedelta(seconds=3 * BEAT_S)


def arrive(topic: str, user: User) -> UUID:
    """Note that `user` opened a page of `topic`; sweep out who left without a word."""
    now = clock.now()
    with transaction.atomic():
        Presence.objects.filter(seen_at__lt=now - STALE).delete()
        made = Presence.objects.create(topic=topic, user=user, seen_at=now)
        tell(topic)
    return made.pk


def beat(presence: UUID) -> None:
    """Note that the page is still open."""
    Presence.objects.filter(pk=presence).update(seen_at=clock.now())


def leave(presence: UUID, topic: str) -> None:
    with transaction.atomic():
        Presence.objects.filter(pk=presence).delete()
        tell(topic)


def others(topic: str, user: User) -> list[str]:
    """The names of everybody else at `topic`, in order."""
    there = Presence.objects.filter(topic=topic, seen_at__gte=clock.now() - STALE)
    names = there.exclude(user=user).values_list("user__name", flat=True)
    return sorted(set(names))
