"""The button that begins a note: on every page of a production, and it knows where one is."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import Song
from rigs.changes.edits import Add
from rigs.revisions.record import record
from tests.support.listening import hear
from tests.support.world import World, make_rig

BUTTON = re.compile(r'<a class="thumb-item thumb-button"\s+href="([^"]+)"')


def at(world: World, name: str, *more: Any) -> str:
    return reverse(name, args=[world.production.pk, *more])


def button_on(client: Client, url: str) -> str | None:
    found = BUTTON.search(client.get(url).content.decode())
    return found[1].replace("&amp;", "&") if found else None


def test_on_pages_of_a_rig_it_leads_to_the_rigs_form(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    form = at(world, "notes:note_new", world.rig.pk)
    rig = at(world, "rigs:rig", world.rig.pk)
    input = at(world, "rigs:input", world.rig.pk, world.input.pk)
    unit = at(world, "rigs:unit", world.rig.pk, world.unit.pk)
    assert button_on(client, rig) == form
    assert button_on(client, input) == f"{form}?input={world.input.pk}"
    assert button_on(client, unit) == f"{form}?unit={world.unit.pk}"
    assert button_on(client, f"{at(world, 'notes:index')}?rig={world.rig.pk}") == form


def test_on_other_pages_it_leads_to_a_choice_of_rigs(client: Client, world: World) -> None:
    song = Song.objects.create(production=world.production, title="Alder Ebb")
    client.force_login(world.engineer)
    start = at(world, "notes:note_start")
    assert button_on(client, at(world, "core:production")) == start
    url = button_on(client, at(world, "core:song", song.pk))
    assert url == f"{start}?song={song.pk}"
    page = client.get(url).content.decode()
    form = f"{at(world, 'notes:note_new', world.rig.pk)}?song={song.pk}"
    assert f'{form}"' in page
    # The rig and what is heard of it are one press.
    with_input = f"{form}&amp;input={world.input.pk}"
    assert f'{with_input}"' in page
    chosen = client.get(with_input.replace("&amp;", "&"))
    assert chosen.context["form"]["inputs"].value() == [world.input.pk]


def test_choosing_costs_the_same_for_any_number_of_rigs(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    url = at(world, "notes:note_start")
    client.get(url)  # what is asked once after a log-in
    with CaptureQueriesContext(connection) as one:
        client.get(url)
    for number in range(5):
        fields = {"name": f"Mic {number}", "device": str(world.mic.pk), "number": 40 + number}
        rig = make_rig(world.production, world.player, world.tech, f"Rig {number}")
        edit = Add(str(uuid4()), "input", fields)
        record(rig, [edit], author=world.tech, base=rig.head_number)
    with CaptureQueriesContext(connection) as many:
        assert client.get(url).content.decode().count("?input=") == 6
    assert len(many) == len(one)


def test_on_the_page_of_a_note_it_goes_on_with_that_notes_rig(client: Client, world: World) -> None:
    note = hear(world)
    client.force_login(world.engineer)
    url = button_on(client, note.get_absolute_url())
    assert url == f"{at(world, 'notes:note_start')}?note={note.pk}"
    answer = client.get(url)
    assert urlsplit(answer.headers["Location"]).path == at(world, "notes:note_new", world.rig.pk)


@pytest.mark.parametrize(
    ("who", "has"), [("engineer", True), ("player", True), ("crew", False), ("manager", False)]
)
def test_whoever_may_write_notes_has_it(client: Client, world: World, who: str, has: bool) -> None:
    client.force_login(world.people[who])
    assert bool(button_on(client, at(world, "rigs:rig", world.rig.pk))) is has


def test_the_form_itself_has_none(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    assert button_on(client, at(world, "notes:note_new", world.rig.pk)) is None


def test_what_is_no_id_is_left_out(client: Client, world: World) -> None:
    client.force_login(world.engineer)
    url = at(world, "notes:note_start") + "?note=x&song=y"
    page = client.get(url)
    assert page.status_code == 200
    assert f'{at(world, "notes:note_new", world.rig.pk)}"' in page.content.decode()
