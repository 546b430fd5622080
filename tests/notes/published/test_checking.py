"""`manage.py verify` finds what was tampered with, and names the first."""

from __future__ import annotations

import json
from typing import Any

import pytest
import rfc8785
from django.core.management import CommandError, call_command
from django.db import connection

from core.append_only import trigger_names
from notes.models import PublishedHandover
from notes.published.checking import broken_handovers
from tests.notes.handover.support import legs
from tests.notes.published.support import published, words
from tests.support.world import World


def tamper(made: PublishedHandover, **values: Any) -> None:
    """Past the triggers, as somebody with the database's own tools would."""
    table = PublishedHandover._meta.db_table
    with connection.cursor() as cursor:
        for name in trigger_names(table):
            on = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER {name}{on}")
        for field, value in values.items():
            pk = PublishedHandover._meta.pk.get_db_prep_value(made.pk, connection)
            cursor.execute(f"UPDATE {table} SET {field} = %s WHERE id = %s", [value, pk])


@pytest.fixture
def two(world: World) -> tuple[PublishedHandover, PublishedHandover]:
    autumn, winter = legs(world)
    words(autumn)
    return published(world, autumn), published(world, winter)


Two = tuple[PublishedHandover, PublishedHandover]


def test_what_was_published_holds(two: Two) -> None:
    assert list(broken_handovers()) == []
    call_command("verify")


def test_a_changed_word_shows(two: Two) -> None:
    tamper(two[0], content=two[0].content.replace("Walk the room.", "Never mind it."))
    assert list(broken_handovers()) == [
        "The Long Quiet · Handover 1: is not what was published: its digest does not match its "
        "content."
    ]
    with pytest.raises(CommandError, match="trigger"):
        call_command("verify")


def test_a_changed_word_with_a_new_digest_shows_at_the_next(two: Two) -> None:
    content = json.loads(two[0].content) | {
        "general": {"opening": "", "cautions": [], "people": ""}
    }
    text = rfc8785.dumps(content)
    import hashlib

    tamper(two[0], content=text.decode(), digest=hashlib.sha256(text).hexdigest())
    first, second = list(broken_handovers())
    assert "Handover 1: the list of its sections is not that of its content" in first
    assert "Handover 2: names another handover before it" in second


def test_another_number_or_author_shows(two: Two, world: World) -> None:
    tamper(two[1], number=5)
    (wrong,) = broken_handovers()
    assert "handover 2 is missing" in wrong


def test_a_history_that_was_written_anew_shows(two: Two) -> None:
    content = json.loads(two[1].content)
    content["sections"][0]["rigs"][0]["digest"] = "0" * 64
    text = rfc8785.dumps(content)
    import hashlib

    from notes.published.content import outline_of

    outline = rfc8785.dumps(outline_of(content)).decode()
    tamper(two[1], content=text.decode(), digest=hashlib.sha256(text).hexdigest(), outline=outline)
    (wrong,) = broken_handovers()
    assert "“Bass main” was not at the change 1 on file" in wrong
