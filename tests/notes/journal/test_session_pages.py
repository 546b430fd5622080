"""Listening sessions in the pages."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core.models import Leg, Show
from notes.models import ListeningSession
from tests.support.listening import hear
from tests.support.world import World, make_world


def make(world: World, **more: Any) -> ListeningSession:
    values = {"name": "Playback", "held_on": date(2026, 9, 1), "place": "Old mill"} | more
    return ListeningSession.objects.create(production=world.production, **values)


def url(world: World, name: str, *more: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, *more])


@pytest.mark.parametrize("who", ["engineer", "tech", "player"])
def test_a_session_is_begun(client: Client, world: World, who: str) -> None:
    client.force_login(world.people[who])
    response = client.post(url(world, "session_new"), {"name": "Dress", "held_on": "2026-10-02"})
    session = ListeningSession.objects.get()
    assert response.headers["Location"] == url(world, "session", session.pk)
    assert (session.name, session.held_on) == ("Dress", date(2026, 10, 2))


@pytest.mark.parametrize("who", ["crew", "manager"])
def test_others_begin_none(client: Client, world: World, who: str) -> None:
    client.force_login(world.people[who])
    assert client.post(url(world, "session_new"), {"name": "Dress"}).status_code == 403


def test_a_refused_session_keeps_what_was_typed(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    response = client.post(url(world, "session_new"), {"place": "Old mill", "held_on": "soon"})
    assert response.context["form"].errors == {
        "name": ["This field is required."],
        "held_on": ["Enter a valid date."],
    }
    assert 'value="Old mill"' in response.content.decode()


def test_only_shows_of_the_production_are_offered(client: Client, world: World) -> None:
    shows = {}
    for place in (world, make_world("Elsewhere")):
        leg = Leg.objects.create(
            production=place.production,
            name="Leg",
            starts_on=date(2026, 9, 1),
            ends_on=date(2026, 9, 30),
        )
        shows[place.production] = Show.objects.create(
            leg=leg, held_on=date(2026, 9, 2), room="Room"
        )
    client.force_login(world.engineer)
    form = client.get(url(world, "session_new")).context["form"]
    assert list(form.fields["show"].queryset) == [shows[world.production]]


def test_a_session_is_corrected(client: Client, world: World) -> None:
    session = make(world)
    client.force_login(world.tech)
    client.post(
        url(world, "session_edit", session.pk),
        {"name": "Playback 2", "held_on": "2026-09-01", "version": 1},
    )
    session.refresh_from_db()
    assert (session.name, session.version) == ("Playback 2", 2)


def test_a_stale_form_keeps_what_was_typed(client: Client, world: World) -> None:
    session = make(world)
    client.force_login(world.tech)
    for name in ("First", "Second"):
        response = client.post(
            url(world, "session_edit", session.pk),
            {"name": name, "held_on": "2026-09-01", "version": 1},
        )
    text = response.content.decode()
    assert 'value="Second"' in text
    assert "Now there: First" in text


def test_the_page_shows_the_notes_of_the_session(client: Client, world: World) -> None:
    session = make(world)
    hear(world, "Here.", session=session)
    hear(world, "Elsewhere.")
    client.force_login(world.people["crew"])
    response = client.get(url(world, "session", session.pk))
    assert [note.words for note in response.context["page"].rows] == ["Here."]
    assert "Old mill" in response.content.decode()


def test_a_note_written_from_a_session_belongs_to_it(client: Client, world: World) -> None:
    session = make(world)
    client.force_login(world.engineer)
    start = url(world, "note_new", world.rig.pk) + f"?session={session.pk}"
    assert start in client.get(url(world, "session", session.pk)).content.decode()
    assert client.get(start).context["form"].initial["session"] == session.pk


def test_another_productions_session_is_404(client: Client, world: World) -> None:
    foreign = make(make_world("Elsewhere"))
    client.force_login(world.engineer)
    for name in ("session", "session_edit"):
        assert client.get(url(world, name, foreign.pk)).status_code == 404


@pytest.mark.parametrize("count", [1, 10])
def test_queries_do_not_grow_with_the_notes(
    client: Client, world: World, count: int, django_assert_num_queries: Any
) -> None:
    session = make(world)
    for _ in range(count):
        hear(world, session=session)
    client.force_login(world.engineer)
    with django_assert_num_queries(9):
        client.get(url(world, "session", session.pk))
