"""Mixes and wishes written by programs, by the rules of the pages."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

import pytest

from core.models import Leg, Show
from core.models.roles import Role
from notes.models import MixVersion, MixWish, MixWishMark, MonitorMix
from tests.support.api import api
from tests.support.world import World


@pytest.fixture
def show(world: World) -> Show:
    dates = {"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 9)}
    leg = Leg.objects.create(production=world.production, name="Coast", **dates)
    made: Show = Show.objects.create(leg=leg, held_on=date(2026, 9, 2), room="Barn")
    return made


def url(world: World, more: str) -> str:
    return f"/api/v1/productions/{world.production.pk}/{more}/"


def body(world: World, **more: Any) -> dict[str, Any]:
    wants = [{"inputs": [f"input:{world.input.pk}"], "words": "the thump"}]
    return {"name": "Wedge", "player": str(world.player.pk), "wants": wants, **more}


def created(world: World) -> dict[str, Any]:
    answer = api(world.people[Role.MONITORS]).post(url(world, "monitor-mixes"), body(world))
    assert answer.status_code == 201, answer.json()
    made: dict[str, Any] = answer.json()
    return made


def test_a_mix_is_written_down_once(world: World) -> None:
    client = api(world.people[Role.MONITORS])
    headers = {"HTTP_IDEMPOTENCY_KEY": '"0123456789abcdef"'}
    first = client.post(url(world, "monitor-mixes"), body(world), **headers)
    again = client.post(url(world, "monitor-mixes"), body(world), **headers)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["id"] == again.json()["id"]
    assert MonitorMix.objects.count() == 1
    (want,) = first.json()["wants"]
    assert (want["level"], want["words"], first.json()["version"]) == ("more", "the thump", 1)


def test_it_is_changed_and_what_clashes_is_refused(world: World) -> None:
    made = created(world)
    wants = [{**made["wants"][0], "words": "the click"}]
    sent = body(world, version=1, wants=wants)
    one = url(world, f"monitor-mixes/{made['id']}")
    changed = api(world.tech).put(one, sent)
    assert (changed.status_code, changed.json()["version"]) == (200, 2)
    assert api(world.tech).get(one).json()["wants"][0]["words"] == "the click"
    other = body(world, version=1, wants=[{**made["wants"][0], "words": "neither"}])
    clash = api(world.people[Role.MONITORS]).put(one, other)
    assert (clash.status_code, clash.json()["code"]) == (409, "changed_meanwhile")
    assert clash.json()["version"] == 2
    # What only one of two changed is brought together.
    merged = body(world, version=1, output="Bus 3", wants=made["wants"])
    answer = api(world.people[Role.MONITORS]).put(one, merged).json()
    assert (answer["output"], answer["wants"][0]["words"]) == ("Bus 3", "the click")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"player": None}, "Say whose mix it is"),
        ({"wants": [{"inputs": [f"input:{uuid4()}"]}]}, "Not here: input:"),
        ({"wants": [{"inputs": []}]}, "Say which input"),
        ({"wants": [{"level": "as_loud", "words": "the bass"}]}, "As loud as what?"),
        ({"player": str(uuid4())}, "There is no such player here."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(
    world: World, more: dict[str, Any], words: str
) -> None:
    answer = api(world.tech).post(url(world, "monitor-mixes"), body(world, **more))
    assert answer.status_code == 422
    assert words in str(answer.json()["fields"])
    assert not MonitorMix.objects.exists()


def test_a_version_that_is_not_there_yet(world: World) -> None:
    made = created(world)
    answer = api(world.tech).put(url(world, f"monitor-mixes/{made['id']}"), body(world, version=9))
    assert answer.status_code == 422
    assert MixVersion.objects.count() == 1


def test_a_wish_and_what_became_of_it(world: World, show: Show) -> None:
    made = created(world)
    sent = {"mix": made["id"], "show": str(show.pk), "words": "More of me."}
    player, monitors = world.people[Role.PLAYER], world.people[Role.MONITORS]
    answer = api(player).post(url(world, "mix-wishes"), sent)
    assert (answer.status_code, answer.json()["state"]) == (201, "open")
    one = url(world, f"mix-wishes/{answer.json()['id']}")
    assert api(player).put(one, {"state": "done"}).status_code == 403
    assert not MixWishMark.objects.exists()
    assert api(monitors).put(one, {"state": "done"}).json()["state"] == "done"
    assert api(player).put(one, {"state": "taken_back"}).json()["state"] == "taken_back"


def test_wishes_are_narrowed_by_their_show(world: World, show: Show) -> None:
    wishes = url(world, "mix-wishes")
    assert api(world.engineer).get(f"{wishes}?show={show.pk}").json()["results"] == []
    assert api(world.engineer).get(f"{wishes}?show={uuid4()}").status_code == 400


def test_who_may_not(world: World, show: Show) -> None:
    crew = api(world.people[Role.CREW])
    assert crew.post(url(world, "monitor-mixes"), body(world)).status_code == 403
    made = created(world)
    one = url(world, f"monitor-mixes/{made['id']}")
    assert crew.put(one, body(world, version=1)).status_code == 403
    assert crew.get(one).status_code == 200
    lost = {"mix": str(uuid4()), "show": str(show.pk), "words": "More."}
    assert crew.post(url(world, "mix-wishes"), lost).status_code == 404
    assert not MixWish.objects.exists()
