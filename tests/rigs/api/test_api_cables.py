"""A path in words over the API: the page's reading, as a program meets it."""

from __future__ import annotations

from typing import Any

from rigs.models import Link, Revision, Unit
from tests.support.api import api
from tests.support.world import World

PATH = "guitar > wireless > switcher; send 1 > comp > return 1; out > head > cab"
KINDS = {
    "guitar": "guitar",
    "wireless": "wireless",
    "switcher": "switcher",
    "Comp": "compressor",
    "cab": "cabinet",
}


def send(world: World, words: str, *, by: Any = None, **more: Any) -> Any:
    sent = {"base": 1, "words": words, **more}
    return api(by or world.tech).post(f"/api/v1/rigs/{world.rig.pk}/cables/", sent)


def is_untouched(world: World) -> bool:
    return Revision.objects.filter(rig=world.rig).count() == 1


def test_a_path_becomes_cables_and_units_in_one_change(world: World) -> None:
    answer = send(world, PATH, new_units=KINDS)
    assert answer.status_code == 201
    told = answer.json()
    assert told["head"]["number"] == told["revision"]["number"] == 2
    assert [(each["source"], each["target"], each["is_there"]) for each in told["cables"]] == [
        ("guitar", "wireless", False),
        ("wireless", "switcher", False),
        ("switcher", "comp", False),
        ("comp", "switcher", False),
        ("switcher", "Head", False),
        ("Head", "cab", False),
    ]
    speaker = told["cables"][-1]
    assert (speaker["carries"], speaker["cable"]) == ("speaker", "speaker cable")
    assert (told["cables"][2]["from_socket"], told["cables"][2]["length_m"]) == ("send 1", "0.3")
    assert Link.objects.count() == 6
    assert Unit.objects.get(name="comp").gear == "compressor"


def test_the_same_path_again_writes_nothing(world: World) -> None:
    send(world, PATH, new_units=KINDS)
    again = send(world, PATH, new_units=KINDS)
    assert again.status_code == 200
    assert again.json()["revision"] is None
    assert all(each["is_there"] for each in again.json()["cables"])
    assert Link.objects.count() == 6


def test_a_new_name_has_to_be_agreed_on(world: World) -> None:
    answer = send(world, "head > cab; fuzz > head", new_units={"fuzz": "pedal"})
    assert answer.status_code == 400
    assert answer.json()["code"] == "new_units"
    assert answer.json()["new_units"] == [{"name": "cab", "gear": "cabinet"}]
    assert is_untouched(world)


def test_what_cannot_be_read_is_named_at_its_place(world: World) -> None:
    answer = send(world, "send 9 > head", new_units={})
    assert answer.status_code == 400
    told = answer.json()
    assert told["code"] == "unreadable"
    (problem,) = told["problems"]
    assert "send 9 > head"[problem["start"] : problem["end"]] == "send 9"
    assert told["fields"]["words"] == [problem["message"]]
    assert send(world, "head").json()["code"] == "unreadable"
    assert is_untouched(world)


def test_a_kind_that_is_none_and_a_base_that_is_none_are_refused(world: World) -> None:
    answer = send(world, "head > cab", new_units={"cab": "teapot"})
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")
    answer = send(world, "head > cab", new_units={"cab": "cabinet"}, base=9)
    assert (answer.status_code, answer.json()["code"]) == (400, "no_such_base")
    assert is_untouched(world)


def test_a_reader_may_not(world: World) -> None:
    by = world.people["player"]
    assert send(world, "head > cab", new_units={"cab": "cabinet"}, by=by).status_code == 403
    assert is_untouched(world)
