"""The way to PostgreSQL itself, where a pool stands before it (`TONELEDGER_DATABASE_DIRECT`)."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import connection

NAMES = ("host", "port", "user", "password", "dbname", "sslmode")


def direct_place() -> dict[str, Any]:
    """Where and as whom to connect, in the words of libpq; what is not given is left out."""
    direct = settings.DATABASE_DIRECT
    if direct:
        found = {
            **direct.get("OPTIONS", {}),
            "host": direct["HOST"],
            "port": direct["PORT"],
            "user": direct["USER"],
            "password": direct["PASSWORD"],
            "dbname": direct["NAME"],
        }
    else:
        found = connection.get_connection_params()
    return {name: found[name] for name in NAMES if found.get(name)}
