"""Announce that something about a topic is new, as part of the transaction that changed it."""

from __future__ import annotations

from django.db import connection, transaction

from core.live.hub import hub

CHANNEL = "toneledger_live"


def notify(topic: str) -> None:
    """Wake every stream of `topic`: on PostgreSQL in all processes, by NOTIFY at the commit.

    On SQLite this process is woken at the commit; the others see the file change (wakers).
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_notify(%s, %s)", [CHANNEL, topic])
    else:
        transaction.on_commit(lambda: hub.wake_from_thread(topic))
