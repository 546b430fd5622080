"""Where a name may still be: every table as a dump has it, and every stored file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import connection

from core.models import Membership, User
from core.models.roles import Role
from tests.support.world import World, make_user


def everything_stored() -> Iterator[tuple[str, bytes]]:
    """Each table row by row, as it is stored, and each file below the storage."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            # Of every table there is, those of the search index among them.
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            for (table,) in cursor.fetchall():
                cursor.execute(f'SELECT * FROM "{table}"')
                for row in cursor.fetchall():
                    yield table, b"\0".join(_bytes(value) for value in row)
        else:
            cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
            for (table,) in cursor.fetchall():
                cursor.execute(f'SELECT t::text FROM "{table}" t')
                for (row,) in cursor.fetchall():
                    yield table, str(row).encode()
    for path in Path(settings.MEDIA_ROOT).rglob("*"):
        if path.is_file():
            yield str(path), path.read_bytes()


def _bytes(value: object) -> bytes:
    return value if isinstance(value, bytes) else str(value).encode()


def places_of(*names: str) -> set[str]:
    """The tables and files in which one of `names` stands, however it is capitalised."""
    wanted = [each.lower().encode() for name in names for each in (name, name.encode().hex())]
    return {
        place for place, held in everything_stored() if any(each in held.lower() for each in wanted)
    }


def somebody(world: World, name: str, role: str = Role.TECH) -> User:
    person = make_user(name)
    Membership.objects.create(production=world.production, user=person, role=role)
    return person
