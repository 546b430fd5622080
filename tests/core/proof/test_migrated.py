"""What a migration writes by models of then is in the log after the last of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from core.models import LogEntry, Song
from core.proof import migrated
from core.proof.verify import broken_log
from tests.support.world import World


@pytest.fixture
def then(world: World) -> Any:
    """Models as migrations are given them."""
    executor = MigrationExecutor(connection)
    return executor.loader.project_state(executor.loader.graph.leaf_nodes()).apps


def test_it_is_put_down_once_all_are_through(world: World, then: Any) -> None:
    song = Song.objects.create(production=world.production, title="Wicket")
    songs = then.get_model("core", "Song").objects
    songs.filter(title="Wicket").update(title="Gate")
    made = songs.create(production_id=world.production.pk, title="Of a migration")
    assert list(broken_log(world.production))  # not yet
    count = LogEntry.objects.count()
    call_command("migrate", verbosity=0)
    assert list(broken_log(world.production)) == []
    keys = set(LogEntry.objects.order_by("pk")[count:].values_list("key", flat=True))
    assert keys == {str(song.pk), str(made.pk)}
    call_command("migrate", verbosity=0)
    assert LogEntry.objects.count() == count + 2  # once


def test_what_does_not_go_into_the_log_is_left_alone(world: World, then: Any) -> None:
    count = LogEntry.objects.count()
    then.get_model("rigs", "Rig").objects.update(head_number=world.rig.head_number)
    then.get_model("core", "SearchEntry").objects.all().delete()
    call_command("migrate", verbosity=0)
    assert LogEntry.objects.count() == count


def test_deleting_is_refused(world: World, then: Any) -> None:
    Song.objects.create(production=world.production, title="Wicket")
    with pytest.raises(migrated.Unheard, match=r"may not delete rows of core\.Song"):
        then.get_model("core", "Song").objects.filter(title="Wicket").delete()


def test_nothing_waits_while_some_are_to_come(
    world: World, then: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    song = Song.objects.create(production=world.production, title="Wicket")
    then.get_model("core", "Song").objects.filter(pk=song.pk).update(title="Gate")
    count = LogEntry.objects.count()
    with monkeypatch.context() as patched:
        patched.setattr(MigrationExecutor, "migration_plan", lambda *_: [("one to come", False)])
        migrated.put_down()
    assert LogEntry.objects.count() == count
    migrated.put_down()
    assert LogEntry.objects.count() == count + 1


@pytest.fixture
def listening(world: World) -> Iterator[Song]:
    migrated.listen()
    yield Song.objects.create(production=world.production, title="Wicket")
    migrated.put_down()
    assert connection.execute_wrappers == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE core_song SET title = 'Gate'",
        'update  "core_song" set title = %s',
        "DELETE FROM core_song",
        "WITH one AS (SELECT 'Gate' AS said) UPDATE core_song SET title = (SELECT said FROM one)",
    ],
)
def test_statements_of_sql_are_refused(listening: Song, statement: str) -> None:
    params = ["Gate"] if "%s" in statement else None
    with (
        pytest.raises(migrated.Unheard, match=r"rows of core\.Song by SQL"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement, params)
    assert Song.objects.get().title == "Wicket"


def test_what_writes_nothing_that_is_logged_is_not(listening: Song, then: Any) -> None:
    then.get_model("core", "Song").objects.update(title="Gate")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE core_song SET title = 'x' WHERE title = 'none such'")
        cursor.execute("DELETE FROM core_searchentry")
    assert Song.objects.get().title == "Gate"


def test_before_there_is_a_log_nothing_is_missing_in_it(
    listening: Song, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(migrated, "_has_log", lambda: False)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE core_song SET title = 'Pen'")
    assert Song.objects.get().title == "Pen"


def test_what_django_fills_is_put_down(listening: Song, world: World) -> None:
    """The statements of Django 5.2 where a column may not be empty any more."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            fills = 'UPDATE "core_song" SET "gap_s" = %s WHERE "gap_s" IS NULL; SET CONSTRAINTS ALL'
            cursor.execute(fills + " IMMEDIATE", [7])
        else:
            cursor.execute("CREATE TEMP TABLE new__core_song (id, gap_s)")
            cursor.execute(
                'INSERT INTO "new__core_song" ("id", "gap_s") '
                'SELECT "id", coalesce("gap_s", 7) FROM "core_song"'
            )
            with migrated.heard():
                cursor.execute("UPDATE core_song SET gap_s = 7")
            cursor.execute("DROP TABLE new__core_song")
    assert list(broken_log(world.production))  # not yet
    migrated.put_down()
    assert list(broken_log(world.production)) == []
