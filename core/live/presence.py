"""Who looks at a topic now, kept in the database so that every process and host sees the same."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Exists, OuterRef, QuerySet
from django.db.models.signals import post_delete

from core import clock
from core.composed import Composed, column
from core.live.notify import notify
from core.models import LogIn, Membership, Presence, User

BEAT_S = 20.0
# Three beats, so that one that comes late from a busy server makes nobody vanish from the list.
STALE = timedelta(seconds=3 * BEAT_S)
RETURNING = timedelta(seconds=10)  # how long somebody whose page is about to ask again is here


def arrive(topic: str, user: User) -> UUID:
    """Note that `user` opened a page of `topic`.

    Presences that are stale are deleted, and those of `user` that `linger` kept for the page that
    asks again now.
    """
    now = clock.now()
    with transaction.atomic():
        Presence.objects.filter(seen_at__lt=now - STALE).delete()
        # What `linger` wrote lies at or before this moment. Pages of theirs that are open have
        # beaten since, and stay.
        back = now - STALE + RETURNING
        came_back, _ = theirs(topic, user).filter(seen_at__lte=back).delete()
        if not came_back and not theirs(topic, user).exists():
            # Inside the transaction: PostgreSQL sends what was notified when it commits.
            notify(topic)
        made = Presence.objects.create(topic=topic, user=user, seen_at=now)
    return made.pk


def theirs(topic: str, user: User) -> QuerySet[Presence]:
    """Of the pages of `topic` that `user` has open."""
    return Presence.objects.filter(topic=topic, user=user)


def beat(presence: UUID) -> None:
    """Note that the page is still open."""
    values = zip(_COLUMNS, (clock.now(), presence), strict=True)
    with connection.cursor() as cursor:
        cursor.execute(_BEAT, [field.get_db_prep_value(each, connection) for field, each in values])


# A plain statement, since every open page says it all the time and composing it takes longer.
_COLUMNS: tuple[Any, ...] = tuple(Presence._meta.get_field(name) for name in ("seen_at", "id"))
_BEAT = f"UPDATE {Presence._meta.db_table} SET seen_at = %s WHERE id = %s"  # noqa: S608


def linger(presence: UUID) -> None:
    """Keep the presence for RETURNING only: the page asks again at once, unless it was closed."""
    Presence.objects.filter(pk=presence).update(seen_at=clock.now() - STALE + RETURNING)


def leave(presence: UUID, topic: str, user: User) -> None:
    """The others are told unless `user` has another page there. Of two that close at once each may
    take the other for open: the next beat of those who are left finds it out."""
    with transaction.atomic():
        Presence.objects.filter(pk=presence).delete()
        if not theirs(topic, user).filter(seen_at__gte=clock.now() - STALE).exists():
            notify(topic)


def others(topic: str, user: User) -> list[str]:
    """The names of everybody else at `topic`, in order."""
    return sorted({each.name for each in _others(topic, clock.now() - STALE, user.pk)})


# One person may have several pages open.
_others: Composed[User] = Composed(
    lambda topic, seen_after, user: (
        User.objects.filter(
            Exists(
                Presence.objects.filter(user=OuterRef("pk"), topic=topic, seen_at__gte=seen_after)
            )
        )
        .exclude(pk=user)
        .only("name")
        .order_by()
    ),
    column(Presence, "topic"),
    column(Presence, "seen_at"),
    column(User),
)


def look_again(user: Any) -> None:
    """Have every open page of `user`, an id, checked for whether it may still see what it shows."""
    for topic in set(Presence.objects.filter(user=user).values_list("topic", flat=True)):
        notify(topic)


def connect() -> None:
    """End the streams of whoever logs out or leaves a production, without waiting for a beat."""
    post_delete.connect(_logged_out, sender=LogIn, dispatch_uid="live")
    post_delete.connect(_left, sender=Membership, dispatch_uid="live")


def _logged_out(instance: LogIn, **_: Any) -> None:
    if instance.user_id:
        look_again(instance.user_id)


def _left(instance: Membership, **_: Any) -> None:
    look_again(instance.user_id)
