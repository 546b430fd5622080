"""What was changed when, over the API."""

from __future__ import annotations

from uuid import uuid4

from core.models.roles import Role
from rigs.changes.edits import Add
from rigs.models import Spare
from rigs.upkeep.services import note_done, take_back
from tests.support.api import api
from tests.support.world import World, make_world


def _url(world: World) -> str:
    return f"/api/v1/productions/{world.production.pk}/upkeep/"


def test_the_log_is_read_with_what_was_taken_back(world: World) -> None:
    part = str(uuid4())
    world.record(Add(part, "spare", {"unit": str(world.unit.pk), "what": "9 V", "sort": "battery"}))
    spare = Spare.objects.get()
    note_done(spare=spare, by=world.tech, words="first")
    take_back(entry=note_done(spare=spare, by=world.tech, words="second"), by=world.tech)
    rows = api(world.people[Role.CREW]).get(_url(world)).json()["results"]
    assert [(row["words"], row["taken_back"]) for row in rows] == [
        ("second", True),
        ("first", False),
    ]
    assert rows[0]["spare"] == part
    other = make_world("Another act")
    assert api(other.tech).get(_url(other)).json()["results"] == []
    assert api(other.tech).get(_url(world)).status_code == 404


def test_a_spare_is_added_over_the_api(world: World) -> None:
    edit = {
        "op": "add",
        "kind": "spare",
        "fields": {
            "unit": str(world.unit.pk),
            "what": "set",
            "sort": "string_set",
            "gauges": "46w-36w-10",
        },
    }
    url = f"/api/v1/rigs/{world.rig.pk}/changes/"
    assert api(world.tech).post(url, {"base": 1, "edits": [edit]}).status_code == 201
    assert Spare.objects.get().gauges == "46w 36w 10"
    edit["fields"]["gauges"] = "light"  # type: ignore[index]
    assert api(world.tech).post(url, {"base": 2, "edits": [edit]}).status_code == 422
