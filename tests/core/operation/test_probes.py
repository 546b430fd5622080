"""What a load balancer is told. /healthz and /readyz are names of common practice, no standard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.test import Client

from core.append_only import append_only_tables, ensure_triggers
from core.operation import health

ALL_WELL = {"database": "ok", "migrations": "ok", "triggers": "ok", "storage": "ok"}


def test_a_process_that_answers_says_so_without_a_database() -> None:
    """No database fixture here: a query would fail this test."""
    answer = Client().get("/healthz", headers={"host": "10.0.0.7:8000"})
    assert (answer.status_code, answer.content) == (200, b"ok\n")
    assert answer.headers["Cache-Control"] == "no-store"


def test_one_that_can_serve_says_so(db: None, settings: Any) -> None:
    settings.SECURE_SSL_REDIRECT = True  # as in production: the one who asks comes without HTTPS
    answer = Client().get("/readyz", headers={"host": "10.0.0.7"})
    assert (answer.status_code, answer.json()) == (200, ALL_WELL)


def test_being_ready_costs_a_fixed_number_of_queries(
    db: None, django_assert_max_num_queries: Any
) -> None:
    Client().get("/readyz")
    with django_assert_max_num_queries(2):
        Client().get("/readyz")


def test_a_missing_trigger_is_told(transactional_db: None, caplog: Any) -> None:
    name = append_only_tables()[0]
    place = f' ON "{name}"' if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}_no_delete{place}")
    try:
        answer = Client().get("/readyz")
    finally:
        ensure_triggers(connection)
    assert (answer.status_code, answer.json()) == (503, ALL_WELL | {"triggers": "failed"})
    assert f"{name}_no_delete" in caplog.text
    assert name not in answer.content.decode()


def test_a_folder_that_nobody_may_write_to_is_told(
    db: None, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.MEDIA_ROOT = tmp_path / "not yet" / "media"
    assert Client().get("/readyz").status_code == 200
    # Whoever runs tests as the administrator of the machine may write anywhere.
    monkeypatch.setattr("os.access", lambda *_: False)
    answer = Client().get("/readyz")
    assert (answer.status_code, answer.json()) == (503, ALL_WELL | {"storage": "failed"})


def test_migrations_that_wait_are_told(
    db: None, monkeypatch: pytest.MonkeyPatch, caplog: Any
) -> None:
    monkeypatch.setattr(health, "_migrated", set())
    monkeypatch.setattr(MigrationExecutor, "migration_plan", lambda *_: [("core", False)])
    answer = Client().get("/readyz")
    assert (answer.status_code, answer.json()["migrations"]) == (503, "failed")
    assert "manage.py migrate" in caplog.text


def test_other_methods_and_addresses_are_not_answered_here(db: None) -> None:
    assert Client().post("/healthz").status_code == 404
    assert Client().get("/healthz/").status_code == 404
