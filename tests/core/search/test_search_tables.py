"""The index keeps up with its table, whatever happens to the table."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.management import call_command
from django.db import connection

from core.models import Production, SearchEntry
from core.search import sqlite
from core.search.backend import index, search
from core.search.sources import reindex

SQLITE = pytest.mark.skipif(connection.vendor != "sqlite", reason="FTS5 is SQLite's")


@pytest.fixture
def production(db: None) -> Production:
    production = Production.objects.create(name="The Long Quiet")
    index(production, SearchEntry.Kind.NOTE, uuid4(), "Organ", "boomy", "/x/")
    return production


def triggers() -> set[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return {name for (name,) in cursor.fetchall() if name.startswith("core_searchentry")}


@SQLITE
def test_triggers_that_a_migration_dropped_come_back(production: Production) -> None:
    names = triggers()
    assert len(names) == 3
    with connection.cursor() as cursor:
        for name in names:
            cursor.execute(f"DROP TRIGGER {name}")
    sqlite.after_migrate("default")
    assert triggers() == names


@SQLITE
def test_the_fts_table_agrees_with_its_content(production: Production) -> None:
    SearchEntry.objects.update(title_words="bass", body_words="thin")
    index(production, SearchEntry.Kind.GEAR, uuid4(), "Head", "loud", "/y/")
    SearchEntry.objects.filter(kind=SearchEntry.Kind.GEAR).delete()
    with connection.cursor() as cursor:
        # FTS5's own check: raises if the index and the content differ (sqlite.org/fts5.html, 6.4).
        cursor.execute(
            "INSERT INTO core_searchentry_fts (core_searchentry_fts, rank) "
            "VALUES ('integrity-check', 1)"
        )
    assert len(search(production, "bass thin").hits) == 1


def test_rebuilding_forgets_what_no_source_knows(production: Production) -> None:
    reindex(production)
    assert search(production, "organ").hits == []


def test_the_command_says_what_it_did(
    production: Production, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("reindex")
    assert capsys.readouterr().out == "1 of 1: The Long Quiet: 0 entries\n"
