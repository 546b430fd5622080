"""Who comes first after publishing finds what was published on the shelf.

Nothing outside to compare with: counted are the queries of this service itself.
"""

from __future__ import annotations

import itertools
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from core.kept.shelf import Shelf
from core.models import KeptResult, User
from core.models.roles import Role
from notes.forgetting.forget import forget
from notes.forgetting.subject import member
from notes.handover import ready, said
from notes.handover.orders import ORDERS
from notes.handover.publish import publish
from notes.handover.said import Way, published_said
from notes.models import PublishedHandover
from tests.notes.forgetting.support import somebody
from tests.notes.handover.published_support import note, words
from tests.notes.handover.support import legs, more_players
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World

pytestmark = pytest.mark.django_db
UNHURRIED = 600.0


@pytest.fixture(autouse=True)
def _believed(monkeypatch: Any) -> Any:
    monkeypatch.setattr(ready, "SECONDS", UNHURRIED)
    with override_settings(KEPT_CHECKED=False):
        yield


def speak(world: World, **languages: str) -> None:
    for role, language in languages.items():
        User.objects.filter(pk=world.people[role].pk).update(language=language)


def told(world: World, opening: str = "Walk the room.") -> Any:
    _, winter = legs(world)
    more_players(world, 1)
    words(winter, opening)
    note(world)
    world.swap(world.other_mic, HIRE)
    return winter


def published(world: World, leg: Any, callbacks: Any) -> PublishedHandover:
    with callbacks(execute=True):
        return publish(leg=leg, by=world.engineer)


def asks(client: Any, url: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(url).status_code == 200
    return len(asked)


def test_the_first_look_asks_no_more_than_a_later_one(
    world: World, django_capture_on_commit_callbacks: Any
) -> None:
    speak(world, engineer="de", tech="ja", crew="de")
    made = published(world, told(world), django_capture_on_commit_callbacks)
    for role in ("engineer", "tech", "crew", "player", "manager"):
        client = as_user(world.people[role])
        client.get("/")  # what a session asks once
        for query in ("", "?long"):
            url = f"{made.get_absolute_url()}{query}"
            first = asks(client, url)
            assert first == asks(client, url), (role, query)
            assert first <= 15


def test_those_of_whoever_publishes_come_first_and_then_those_of_most(world: World) -> None:
    speak(world, engineer="fr", tech="de", crew="de", player="de", manager="de")
    made = PublishedHandover(production=world.production)
    with translation.override("es"):
        orders = ready.orders_by_language(made, world.engineer)
    assert orders["fr"] == ["foh"]
    assert list(orders)[:2] == ["fr", "de"]
    assert orders["de"] == ["all", "tech"]
    # Of whom nobody knows the language it is that of whoever publishes now.
    assert set(orders) <= {"fr", "de", "es"}


def test_a_second_language_is_told_from_what_was_read_for_the_first(
    world: World, django_capture_on_commit_callbacks: Any
) -> None:
    leg = told(world)
    made = publish(leg=leg, by=world.engineer)
    counts = []
    for languages in ({}, {"tech": "de"}, {"tech": "de", "crew": "ja"}):
        speak(world, **languages)
        KeptResult.objects.all().delete()
        with CaptureQueriesContext(connection) as asked:
            ready.make_ready(made, world.engineer)
        reads = [each["sql"] for each in asked if "core_keptresult" not in each["sql"]]
        counts.append(sum(1 for sql in reads if is_of_content(sql)))
    # English is told as it was sealed: what the rigs say is read for the first other language.
    assert counts[1] == counts[2]


def is_of_content(sql: str) -> bool:
    """Rather than by the shelf, which looks at the production and its log for each result."""
    return sql.startswith("SELECT") and not any(
        table in sql for table in ("core_logentry", 'FROM "core_production"')
    )


def test_what_takes_too_long_is_left_to_who_asks_first(
    world: World, monkeypatch: Any, django_capture_on_commit_callbacks: Any
) -> None:
    ticks = itertools.count()
    monkeypatch.setattr(ready, "SECONDS", 3)
    monkeypatch.setattr(ready, "time", SimpleNamespace(monotonic=lambda: next(ticks)))
    made: list[Way] = []
    monkeypatch.setattr(
        ready, "published_said", lambda shelf, published, way, telling: made.append(way)
    )
    speak(world, tech="de", crew="ja")
    published(world, told(world), django_capture_on_commit_callbacks)
    assert [(way.order.key, way.long) for way in made] == [
        ("foh", False),
        ("foh", True),
        ("all", False),
    ]


@pytest.mark.django_db(transaction=True)
def test_what_fails_undoes_no_publishing(world: World, monkeypatch: Any) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise LookupError("no such template")

    monkeypatch.setattr(said, "in_language", fail)
    _, winter = legs(world)
    answer = as_user(world.engineer).post(at(world, "notes:publish", winter.pk))
    monkeypatch.undo()
    made = PublishedHandover.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, made.get_absolute_url())
    assert as_user(world.engineer).get(made.get_absolute_url()).status_code == 200


def test_who_is_forgotten_is_gone_from_what_was_made_ready(
    world: World, django_capture_on_commit_callbacks: Any
) -> None:
    person = somebody(world, "Quorvexa Thistlemund")
    leg = told(world, "Quorvexa Thistlemund knows the desk.")
    made = published(world, leg, django_capture_on_commit_callbacks)
    assert KeptResult.objects.exists()
    manager = world.people[Role.MANAGER]
    forget(member(world.production, person), by=manager, asked_by="person", reason="a letter")
    assert not KeptResult.objects.exists()
    shown = published_said(Shelf(world.production.pk), made, Way(ORDERS["foh"], long=False))
    assert "Quorvexa" not in "".join(shown.html.values())
