"""A keyed request is carried out once: tests/browser/test_offline.py has it over a real network.

What is expected of the header is in the IETF's draft-ietf-httpapi-idempotency-key-header (07): a
string in quotes; the same key and content, the same result; 422 for other content; 400 for a key
that cannot be read.
"""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client

from core import clock
from core.models import DoneRequest
from notes.models import Note
from rigs.models import Photo
from tests.rigs.photos.pictures import encoded, two_tone
from tests.rigs.shows.shows import make_show
from tests.support.own_process import run_alone
from tests.support.pages import as_user, at
from tests.support.world import World

KEY = "8e03978e-40d5-43dd-bc93-6894a57f9324"
NOTE = {"words": "Wool, not wire.", "verdict": "adjust", "version": "1"}


def send(client: Client, world: World, key: str = f'"{KEY}"', **more: Any) -> Any:
    headers = {"Idempotency-Key": key, **more.pop("headers", {})}
    return client.post(at(world, "notes:note_new", world.rig.pk), NOTE | more, headers=headers)


def test_the_second_time_only_the_answer_comes_again(world: World) -> None:
    client = as_user(world.tech)
    first, second = send(client, world), send(client, world)
    assert (first.status_code, second.status_code) == (302, 302)
    assert first.headers["Location"] == second.headers["Location"]
    assert Note.objects.count() == 1


def test_without_a_key_each_is_carried_out(world: World) -> None:
    client = as_user(world.tech)
    for _ in range(2):
        client.post(at(world, "notes:note_new", world.rig.pk), NOTE)
    assert Note.objects.count() == 2


def test_the_token_against_forgery_is_no_part_of_what_was_sent(world: World) -> None:
    client = as_user(world.tech)
    for token in ("one", "another"):
        assert send(client, world, csrfmiddlewaretoken=token).status_code == 302
    assert Note.objects.count() == 1


def test_the_same_key_for_something_else_is_refused(world: World) -> None:
    client = as_user(world.tech)
    send(client, world)
    assert send(client, world, words="Something else.").status_code == 422
    elsewhere = at(world, "notes:note_new", world.rig.pk) + "?input=1"
    again = client.post(elsewhere, NOTE, headers={"Idempotency-Key": f'"{KEY}"'})
    assert again.status_code == 422
    assert Note.objects.count() == 1


def test_keys_of_two_people_have_nothing_to_do_with_each_other(world: World) -> None:
    clients = [as_user(world.tech), as_user(world.engineer)]
    first = [send(client, world).headers["Location"] for client in clients]
    assert len(set(first)) == 2
    assert [send(client, world).headers["Location"] for client in clients] == first
    assert Note.objects.count() == 2


def test_a_form_that_comes_back_is_not_done(world: World) -> None:
    client = as_user(world.tech)
    assert send(client, world, words="").status_code == 200
    assert DoneRequest.objects.count() == 0
    assert send(client, world).status_code == 302
    assert Note.objects.count() == 1


def test_what_is_refused_is_not_done(world: World) -> None:
    assert send(as_user(world.people["crew"]), world).status_code == 403
    assert send(as_user(world.outsider), world).status_code == 404
    assert DoneRequest.objects.count() == 0


def test_who_is_logged_out_is_told_so_instead_of_led_away(world: World) -> None:
    answer = send(Client(), world)
    assert (answer.status_code, answer.json()["code"]) == (401, "signed_out")


def test_a_form_without_a_script_carries_the_key_of_its_page(world: World) -> None:
    """A browser that got no answer repeats the very request; gone back to, the form is another."""
    client, url = as_user(world.tech), at(world, "notes:note_new", world.rig.pk)
    page = client.get(url).content.decode()
    (key,) = re.findall(r'name="request_key" value="([^"]+)"', page)
    sent = NOTE | {"request_key": key}
    first, second = (client.post(url, sent) for _ in range(2))
    assert first.headers["Location"] == second.headers["Location"]
    assert Note.objects.count() == 1
    client.post(url, sent | {"words": "Wire after all."})
    assert Note.objects.count() == 2
    assert key not in client.get(url).content.decode()


@pytest.mark.parametrize("keyed_by", ["header", "field"])
def test_an_unread_error_of_an_earlier_request_undoes_nothing(world: World, keyed_by: str) -> None:
    client, show = as_user(world.tech), make_show(world)
    client.post(at(world, "notes:line_check_finish", show.pk), {})  # refused, and never looked at
    if keyed_by == "header":
        response = send(client, world)
    else:
        response = client.post(
            at(world, "notes:note_new", world.rig.pk), NOTE | {"request_key": KEY}
        )
    assert response.status_code == 302
    assert (Note.objects.count(), DoneRequest.objects.count()) == (1, 1)


def test_who_logs_in_after_sending_by_hand_is_led_to_the_log_in(world: World) -> None:
    url = at(world, "notes:note_new", world.rig.pk)
    answer = Client().post(url, NOTE | {"request_key": KEY})
    assert answer.status_code == 302
    assert "/login/" in answer.headers["Location"]


def test_what_takes_long_is_remembered_after_it_is_done(
    world: World, settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    client, url = as_user(world.tech), at(world, "rigs:photo_new", world.rig.pk)
    picture = encoded(two_tone())

    def bring(**more: Any) -> Any:
        photo = SimpleUploadedFile("amp.png", picture, "image/png")
        return client.post(url, {"photos": [photo], "request_key": KEY} | more)

    first, second = bring(), bring()
    assert first.headers["Location"] == second.headers["Location"]
    assert (Photo.objects.count(), DoneRequest.objects.count()) == (1, 1)
    bring(caption="The same, with words")  # another request, and still the same photo
    assert (Photo.objects.count(), DoneRequest.objects.count()) == (1, 2)


@pytest.mark.parametrize("key", [KEY, '"short"', '"with space and more"', '""', f'"{"x" * 65}"'])
def test_a_key_that_cannot_be_read(world: World, key: str) -> None:
    assert send(as_user(world.tech), world, key=key).status_code == 400
    assert Note.objects.count() == 0


def test_a_program_reads_where_it_led_and_what_was_said(world: World) -> None:
    client, json = as_user(world.tech), {"Accept": "application/json"}
    first = send(client, world, headers=json).json()
    note = Note.objects.get()
    assert first == {
        "done": True,
        "location": note.get_absolute_url(),
        "told": ["The note is written down."],
    }
    assert send(client, world, headers=json).json() == first | {"told": []}


def test_what_an_earlier_request_said_waits_for_the_next_page(world: World) -> None:
    """A form sent without a script leaves its message for a page that nobody has opened yet."""
    client, json = as_user(world.tech), {"Accept": "application/json"}
    send(client, world, key=f'"{uuid4()}"', words="The first of two.")
    later = {"key": f'"{uuid4()}"', "words": "The second of two.", "headers": json}
    told = send(client, world, **later).json()["told"]
    assert told == ["The note is written down."]
    assert send(client, world, **later).json()["told"] == []  # as it was done before
    page = client.get(at(world, "rigs:rig", world.rig.pk)).content.decode()
    assert page.count("The note is written down.") == 1


def test_an_error_that_is_still_unread_refuses_nothing_later(world: World) -> None:
    manager = world.people["manager"]
    client, json = as_user(manager), {"Accept": "application/json"}
    client.post(at(world, "core:member_remove", manager.pk), {})  # its error stays unread
    answer = client.post(
        at(world, "core:rehearsal_room"),
        {"name": "Dairy", "version": "1"},
        headers={"Idempotency-Key": f'"{KEY}"', **json},
    ).json()
    assert answer["done"] is True
    assert not any("manager" in said for said in answer["told"])


def test_a_conflict_is_not_done_and_comes_back_as_the_form(world: World) -> None:
    base = world.rig.head_number
    world.turn("4:00")
    url = at(world, "rigs:unit", world.rig.pk, world.unit.pk)
    client = as_user(world.engineer)
    form = client.get(url).context["form"]
    name = next(name for name, field in form.fields.items() if field.label == "Gain")
    typed = {"base": str(base), name: "9:00"}
    answer = client.post(
        url, typed, headers={"Idempotency-Key": f'"{uuid4()}"', "Accept": "application/json"}
    )
    assert answer.status_code == 409
    assert "9:00" in answer.content.decode()
    assert DoneRequest.objects.count() == 0
    world.control.refresh_from_db()
    assert world.control.setting == "4:00"


def test_what_leads_back_with_an_error_is_not_done(world: World) -> None:
    """A production is never left without a manager."""
    manager = world.people["manager"]
    answer = as_user(manager).post(
        at(world, "core:member_remove", manager.pk),
        {},
        headers={"Idempotency-Key": f'"{KEY}"', "Accept": "application/json"},
    )
    assert (answer.status_code, answer.json()["done"]) == (409, False)
    assert "manager" in answer.json()["told"][0]
    assert DoneRequest.objects.count() == 0


def test_what_is_remembered_is_dropped_after_a_while(world: World) -> None:
    old = clock.now() - timedelta(days=401)
    DoneRequest.objects.create(user=world.tech, key="of-long-ago", digest="", at=old)
    DoneRequest.objects.create(user=world.tech, key="of-today", digest="")
    call_command("forget_sent")
    assert [done.key for done in DoneRequest.objects.all()] == ["of-today"]


RACE = """
from django.test import Client
from notes.models import Note
from core.models import DoneRequest
from tests.support.pages import at
from tests.support.world import make_world
world = make_world()
url, answers = at(world, "notes:note_new", world.rig.pk), []

def send(key):
    client = Client(headers={"host": "localhost"})
    client.force_login(world.tech)
    note = {"words": "Wool.", "verdict": "adjust", "version": "1"}
    answer = client.post(url, note, headers={"Idempotency-Key": f'"{key}"'})
    answers.append([answer.status_code, answer.headers.get("Location")])

results = race(send, *["the-same-key"] * 8)
places = {tuple(answer) for answer in answers}
print(json.dumps([results, len(places), answers[0][0], Note.objects.filter(rig=world.rig).count(),
                  DoneRequest.objects.filter(user=world.tech).count()]))
"""


@pytest.mark.django_db(transaction=True)
def test_eight_at_once_under_one_key_are_one(tmp_path: Path) -> None:
    assert run_alone(RACE, tmp_path) == [["won"] * 8, 1, 302, 1, 1]
