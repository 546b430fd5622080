"""Listening notes over the API: list, one, write."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.models import Song
from core.models.roles import Role
from notes.models import Note
from tests.support.api import api, ids
from tests.support.listening import change_for, hear, hear_after
from tests.support.world import World, make_world

# The id of nothing; fixed, so that every process collects the same tests.
NOBODY = "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f"


def url(world: World, query: str = "") -> str:
    return f"/api/v1/productions/{world.production.pk}/notes/{query}"


def write(world: World, role: str = Role.ENGINEER, **sent: Any) -> Any:
    body = {"rig": str(world.rig.pk), "verdict": "adjust", "words": "Too boomy."} | sent
    return api(world.people[role]).post(url(world), body)


def test_a_note_is_written(world: World) -> None:
    response = write(
        world,
        said_by_player=str(world.player.pk),
        inputs=[str(world.input.pk)],
        reading="250 Hz.",
    )
    assert response.status_code == 201
    note = response.json()
    assert (note["words"], note["reading"], note["verdict"]) == ("Too boomy.", "250 Hz.", "adjust")
    assert note["said_by_player"] == str(world.player.pk)
    assert note["inputs"] == [str(world.input.pk)]
    assert (note["heard_at"], note["state"], note["led_to"]) == (1, "open", None)
    assert note["written_by"] == {"id": str(world.engineer.pk), "name": world.engineer.name}
    assert Note.objects.get().pk.hex == note["id"].replace("-", "")


@pytest.mark.parametrize(
    ("role", "status"),
    [("engineer", 201), ("tech", 201), ("player", 201), ("crew", 403), ("manager", 403)],
)
def test_who_may_write_one(world: World, role: str, status: int) -> None:
    assert write(world, role).status_code == status
    assert Note.objects.count() == (status == 201)


@pytest.mark.parametrize(
    ("sent", "fields"),
    [
        (
            {"words": ""},
            {
                "words": [
                    "Say what was heard, in words or in a voice memo, or tick what the verdict is "
                    "about: then words may be left out."
                ],
            },
        ),
        (
            {"words": "x" * 4001},
            {
                "words": ["Ensure this value has at most 4000 characters (it has 4001)."],
            },
        ),
        ({"words": "a\x00b"}, None),
        ({"inputs": [NOBODY]}, None),
        (
            {"song": NOBODY},
            {
                "song": ["Select a valid choice. That choice is not one of the available choices."],
            },
        ),
    ],
)
def test_what_cannot_be_written(world: World, sent: Any, fields: Any) -> None:
    response = write(world, **sent)
    answer = response.json()
    assert response.status_code == (400 if "\x00" in str(sent.get("words")) else 422)
    assert set(answer) == {"code", "detail", "fields"}
    assert list(answer["fields"]) == list(sent)
    assert fields is None or answer["fields"] == fields
    assert not Note.objects.exists()


def test_a_rig_of_another_production_is_none_of_ours(world: World) -> None:
    response = write(world, rig=str(make_world("Another act").rig.pk))
    assert response.status_code == 422
    assert response.json()["fields"] == {"rig": ["This production has no such rig."]}


def test_an_input_of_another_rig_is_none_of_this(world: World) -> None:
    response = write(world, inputs=[str(make_world("Another act").input.pk)])
    assert response.status_code == 422
    assert list(response.json()["fields"]) == ["inputs"]


@pytest.mark.parametrize(
    "sent", [{"verdict": "maybe"}, {"rig": "x"}, {"inputs": "x"}, {"inputs": ["x"]}, {"song": 1.5}]
)
def test_what_cannot_be_read(world: World, sent: Any) -> None:
    response = write(world, **sent)
    assert response.status_code == 400
    assert (response.json()["code"], list(response.json()["fields"])) == ("invalid", list(sent))


def test_the_state_follows_what_followed(world: World) -> None:
    note = hear(world)
    client = api(world.people[Role.CREW])
    revision = change_for(world, note)
    led = client.get(f"/api/v1/notes/{note.pk}/").json()
    assert led["state"] == "led_to_change"
    assert led["led_to"] == {"rig": str(world.rig.pk), "number": 2, "outcome": None}
    after = hear_after(world, revision, "helped")
    settled = client.get(f"/api/v1/notes/{note.pk}/").json()
    assert (settled["state"], settled["led_to"]["outcome"]) == ("settled", "helped")
    follow = client.get(f"/api/v1/notes/{after.pk}/").json()
    assert (follow["follows"], follow["outcome"]) == (2, "helped")


def test_the_newest_come_first_and_pages_are_turned(world: World) -> None:
    written = [str(hear(world, f"Words {n}.").pk) for n in range(5)]
    client, seen = api(world.tech), []
    address = url(world, "?page_size=2")
    while address:
        page = client.get(address)
        seen += ids(page)
        address = page.json()["next"]
    assert seen == written[::-1]


def test_the_list_is_narrowed(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Song")
    plain = hear(world, inputs=[])
    keep = hear(world, verdict="keep", song=song)
    client = api(world.tech)
    assert ids(client.get(url(world, "?state=settled"))) == [str(keep.pk)]
    assert ids(client.get(url(world, "?state=open"))) == [str(plain.pk)]
    assert ids(client.get(url(world, "?verdict=keep"))) == [str(keep.pk)]
    assert ids(client.get(url(world, f"?input={world.input.pk}"))) == [str(keep.pk)]
    assert len(ids(client.get(url(world, f"?rig={world.rig.pk}")))) == 2


@pytest.mark.parametrize(
    ("query", "field"),
    [("rig=x", "rig"), (f"rig={NOBODY}", "rig"), ("state=odd", "state"), ("verdict=x", "verdict")],
)
def test_a_filter_that_cannot_be_is_named(world: World, query: str, field: str) -> None:
    response = api(world.tech).get(url(world, f"?{query}"))
    assert response.status_code == 400
    assert list(response.json()["fields"]) == [field]


def test_a_filter_does_not_tell_of_another_production(world: World) -> None:
    other = make_world("Another act")
    response = api(world.tech).get(url(world, f"?rig={other.rig.pk}"))
    assert response.json()["fields"] == {"rig": ["This production has none such."]}


def test_an_outsider_learns_nothing(world: World) -> None:
    note, client = hear(world), api(world.outsider)
    assert client.get(url(world)).status_code == 404
    assert client.post(url(world), {}).status_code == 404
    assert client.get(f"/api/v1/notes/{note.pk}/").status_code == 404
    assert client.get(f"/api/v1/notes/{uuid4()}/").status_code == 404


@pytest.mark.parametrize("size", [1, 12])
def test_the_list_costs_the_same_whatever_its_length(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    for _ in range(size):
        change_for(world, hear(world), device=world.mic if world.rig.head_number % 2 == 0 else None)
    client = api(world.tech)
    # The key, the membership, the notes, their inputs, their units and their photos.
    with django_assert_num_queries(6):
        assert len(ids(client.get(url(world)))) == size
