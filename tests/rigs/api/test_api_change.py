"""Changing a rig over the API: the gateway's rules, as a program meets them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from core.models import User
from core.models.roles import Role
from rigs.changes.edits import Retire
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Control, Input, Revision, Unit
from rigs.revisions.verify import verify_rig
from tests.rigs.photos.pinning import add_photo
from tests.support.api import api
from tests.support.world import World, make_world

HIRE = {"kind": "hire", "words": "Ours is in repair."}


def send(world: World, *edits: dict[str, Any], by: User | None = None, **more: Any) -> Any:
    url = f"/api/v1/rigs/{world.rig.pk}/changes/"
    return api(by or world.tech).post(url, {"base": 1, "edits": list(edits)} | more)


def turn(world: World, setting: Any) -> dict[str, Any]:
    return {
        "op": "set",
        "kind": "control",
        "part": str(world.control.pk),
        "fields": {"setting": setting},
    }


def on_input(world: World, **fields: Any) -> dict[str, Any]:
    return {"op": "set", "kind": "input", "part": str(world.input.pk), "fields": fields}


def untouched(world: World) -> bool:
    return Revision.objects.filter(rig=world.rig).count() == 1


def test_a_dial_is_turned(world: World) -> None:
    response = send(world, turn(world, "4.00"))
    assert response.status_code == 201
    written = response.json()
    assert written["revision"]["number"] == written["head"]["number"] == 2
    assert written["revision"]["digest"] == written["head"]["digest"]
    assert written["revision"]["author"]["name"] == world.tech.name
    (change,) = written["revision"]["changes"]
    assert (change["old"], change["new"]) == ("2:30", "4:00")
    world.rig.refresh_from_db()
    assert verify_rig(world.rig) == 2


def test_what_changes_nothing_writes_nothing(world: World) -> None:
    response = send(world, turn(world, "2:30"))
    assert response.status_code == 200
    assert response.json() == {
        "head": {"number": 1, "digest": world.rig.head_digest},
        "revision": None,
        "readings": [],
    }
    assert untouched(world)


def add_dial(world: World, **fields: Any) -> dict[str, Any]:
    own = {"unit": str(world.unit.pk), "name": "Level", **fields}
    return {"op": "add", "kind": "control", "part": str(uuid4()), "fields": own}


def test_the_answer_says_how_a_bare_number_was_taken(world: World) -> None:
    level = add_dial(world, style="dial", setting=10)
    response = send(world, turn(world, "10"), level)
    assert response.status_code == 201
    assert response.json()["readings"] == [
        {"part": str(world.control.pk), "written": "10", "style": "clock", "text": "10 o’clock"},
        {"part": level["part"], "written": "10", "style": "dial", "text": "10 of 10"},
    ]
    sure = add_dial(world, name="Bass", setting="2:30")
    assert send(world, sure, base=2).json()["readings"] == []


@pytest.mark.parametrize(
    ("fields", "kept"),
    [
        ({"setting": "10 o'clock"}, "10:00"),
        ({"style": "dial", "setting": "10 of 10"}, "10"),
        ({"style": "dial", "low": 0, "high": 11, "setting": "10/11"}, "10"),
    ],
)
def test_a_setting_may_say_what_it_is_counted_in(
    world: World, fields: dict[str, Any], kept: str
) -> None:
    assert send(world, add_dial(world, **fields)).status_code == 201
    assert Control.objects.get(name="Level").setting == kept


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"setting": "10 of 10"}, "is a number, and this dial is read as a clock"),
        ({"style": "dial", "setting": "10 o'clock"}, "is not a number"),
        ({"style": "dial", "setting": "10 of 12"}, "this dial runs 0 to 10"),
    ],
)
def test_what_a_dial_is_not_counted_in_is_refused(
    world: World, fields: dict[str, Any], said: str
) -> None:
    response = send(world, add_dial(world, **fields))
    assert response.status_code == 422
    assert said in response.json()["fields"]["setting"][0]
    assert untouched(world)


def test_a_number_arrives_as_it_was_written(world: World) -> None:
    assert send(world, on_input(world, distance_m=0.1 + 0.2), reason=HIRE).status_code == 422
    assert send(world, on_input(world, distance_m=0.035, gain_db=32.5)).status_code == 201
    world.input.refresh_from_db()
    assert (world.input.gain_db, world.input.distance_m) == (Decimal("32.5"), Decimal("0.035"))


def test_a_part_is_added_and_its_id_made_up(world: World) -> None:
    edit = {"op": "add", "kind": "unit", "fields": {"name": "Tuner", "gear": "pedal"}}
    response = send(world, edit)
    assert response.status_code == 201
    (change,) = response.json()["revision"]["changes"]
    assert Unit.objects.get(pk=change["part"]).name == "Tuner"


def test_parts_that_point_at_each_other_are_added_together(world: World) -> None:
    unit, control = str(uuid4()), str(uuid4())
    response = send(
        world,
        {"op": "add", "kind": "unit", "part": unit, "fields": {"name": "Tuner"}},
        {
            "op": "add",
            "kind": "control",
            "part": control,
            "fields": {"unit": unit, "name": "Mute", "style": "switch", "choices": "off, on"},
        },
    )
    assert response.status_code == 201
    assert Unit.objects.get(pk=unit).controls.get().name == "Mute"


def test_a_part_is_retired(world: World) -> None:
    response = send(
        world, {"op": "retire", "kind": "input", "part": str(world.input.pk)}, reason=HIRE
    )
    assert response.status_code == 201
    assert Input.objects.get(pk=world.input.pk).retired


@pytest.mark.parametrize(
    ("role", "status"),
    [("engineer", 201), ("tech", 201), ("player", 403), ("crew", 403), ("manager", 403)],
)
def test_who_may_change_a_rig(world: World, role: str, status: int) -> None:
    response = send(world, turn(world, "4:00"), by=world.people[Role(role)])
    assert response.status_code == status
    assert untouched(world) is (status == 403)
    if status == 403:
        assert response.json() == {
            "code": "permission_denied",
            "detail": "You are in this production, but this needs another role.",
        }


def test_an_outsider_finds_no_rig(world: World) -> None:
    assert send(world, turn(world, "4:00"), by=world.outsider).status_code == 404
    assert untouched(world)


def test_a_swap_without_a_reason_is_refused(world: World) -> None:
    response = send(world, on_input(world, device=str(world.other_mic.pk)))
    assert response.status_code == 400
    refusal = response.json()
    assert refusal["code"] == "reason_required"
    assert refusal["detail"].startswith("Changing a documented microphone, DI or its placement")
    assert refusal["changes"] == [{"part": str(world.input.pk), "kind": "input", "field": "device"}]
    assert untouched(world)


def test_a_swap_with_a_reason_is_made(world: World) -> None:
    response = send(world, on_input(world, device=str(world.other_mic.pk)), reason=HIRE)
    assert response.status_code == 201
    assert response.json()["revision"]["reason"] == HIRE | {"notes": []}


@pytest.mark.parametrize("reason", [{"kind": "hire"}, {"kind": "hire", "words": " "}])
def test_a_circumstance_without_words_is_no_reason(world: World, reason: Any) -> None:
    response = send(world, on_input(world, device=str(world.other_mic.pk)), reason=reason)
    assert response.status_code == 400
    assert response.json()["detail"] == "Say in a few words what happened (hired in place of ours)."


def test_what_somebody_else_changed_meanwhile_is_kept(world: World) -> None:
    world.turn("4:00")
    response = send(world, on_input(world, gain_db=30))
    assert response.status_code == 201
    assert response.json()["revision"]["number"] == 3


def test_a_conflict_shows_both_values(world: World) -> None:
    world.turn("4:00")
    response = send(world, turn(world, "1:00"))
    assert response.status_code == 409
    conflict = response.json()
    assert conflict["code"] == "conflict"
    assert conflict["detail"] == "Someone else changed the same thing since you opened it."
    assert conflict["head"] == {"number": 2, "digest": world.rig.head_digest}
    (clash,) = conflict["clashes"]
    assert clash.pop("theirs")["number"] == 2
    assert clash == {
        "part": str(world.control.pk),
        "kind": "control",
        "field": "setting",
        "base": "2:30",
        "now": "4:00",
        "typed": "1:00",
    }
    assert Revision.objects.filter(rig=world.rig).count() == 2


def test_a_conflict_names_who_when_and_why(world: World) -> None:
    world.turn("3:00", author=world.engineer)
    world.swap(
        world.other_mic, reason=Reason(ReasonKind.HIRE, "Ours is in repair."), author=world.engineer
    )
    response = send(world, on_input(world, device=None), turn(world, "1:00"), reason=HIRE)
    theirs = {clash["field"]: clash["theirs"] for clash in response.json()["clashes"]}
    assert theirs["setting"]["number"] == 2
    assert theirs["device"]["number"] == 3
    assert theirs["device"]["author"]["name"] == world.engineer.name
    assert theirs["device"]["reason"]["words"] == "Ours is in repair."


def test_a_part_that_is_gone_is_a_conflict_about_the_whole(world: World) -> None:
    world.record(Retire(str(world.control.pk), "control"))
    (clash,) = send(world, turn(world, "1:00")).json()["clashes"]
    assert (clash["field"], clash["now"]) == ("", None)
    assert clash["typed"]["setting"] == "1:00"
    assert clash["theirs"]["number"] == 2


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"pan": 101}, {"pan": ["Ensure this value is less than or equal to 100."]}),
        ({"name": ""}, {"name": ["This field cannot be blank."]}),
        ({"distance_unit": "yd"}, {"distance_unit": ["Value 'yd' is not a valid choice."]}),
        ({"device": "nonsense"}, {"device": ["“nonsense” is not a valid UUID."]}),
        ({"colour": "red"}, {"all": ["A input has no “colour”."]}),
    ],
)
def test_values_that_cannot_be(world: World, fields: Any, said: Any) -> None:
    response = send(world, on_input(world, **fields), reason=HIRE)
    assert response.status_code == 422
    assert response.json() == {
        "code": "impossible_value",
        "detail": "Nothing was written: a value cannot be; see the fields.",
        "fields": said,
    }
    assert untouched(world)


def test_a_device_of_another_production_is_none_of_ours(world: World) -> None:
    other = make_world("Another act")
    response = send(world, on_input(world, device=str(other.mic.pk)), reason=HIRE)
    assert response.status_code == 422
    assert response.json()["fields"] == {"device": ["This rig has no such device any more."]}


def test_a_part_of_another_rig_is_none_of_ours(world: World) -> None:
    other = make_world("Another act")
    response = send(world, turn(other, "4:00"))
    assert response.status_code == 422
    assert response.json()["fields"] == {"all": [f"This rig has no part {other.control.pk}."]}


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"base": None}, "base"),
        ({"base": "x"}, "base"),
        ({"base": -1}, "base"),
        ({"base": 10**20}, "base"),
        ({"edits": []}, "edits"),
        ({"edits": "x"}, "edits"),
        ({"edits": [{"op": "explode", "kind": "unit"}]}, "edits"),
        ({"edits": [{"op": "set", "kind": "unit"}]}, "edits"),
        ({"edits": [{"op": "set", "kind": "spoon", "part": str(uuid4())}]}, "edits"),
        ({"edits": [{"op": "retire", "kind": "rig", "part": str(uuid4())}]}, "edits"),
        ({"edits": [{"op": "add", "kind": "unit", "fields": {"name": ["x"]}}]}, "edits"),
        ({"edits": [{"op": "add", "kind": "unit", "fields": {"name": "a\x00"}}]}, "edits"),
        ({"edits": [{"op": "add", "kind": "unit", "fields": {"name": 1e300}}]}, "edits"),
        ({"reason": {"kind": "boredom"}}, "reason"),
        ({"reason": {"kind": "notes", "notes": ["x"]}}, "reason"),
    ],
)
def test_what_cannot_be_read_is_named(world: World, sent: Any, field: str) -> None:
    response = send(world, turn(world, "4:00"), **sent)
    assert response.status_code == 400
    answer = response.json()
    assert answer["code"] == "invalid"
    assert list(answer["fields"]) == [field]
    assert untouched(world)


def test_half_a_character_is_named(world: World) -> None:
    body = b'{"base": 1, "edits": [{"op": "add", "kind": "unit", "fields": {"name": "\\ud800"}}]}'
    url = f"/api/v1/rigs/{world.rig.pk}/changes/"
    response = api(world.tech).generic("POST", url, body, content_type="application/json")
    assert response.status_code == 400
    assert list(response.json()["fields"]) == ["edits"]


def test_a_base_that_never_was(world: World) -> None:
    response = send(world, turn(world, "4:00"), base=9)
    assert response.status_code == 400
    assert response.json() == {
        "code": "no_such_base",
        "detail": "Bass main has no change number 9.",
        "fields": {"base": ["Bass main has no change number 9."]},
    }


def test_a_rig_is_put_away_by_setting_it_so(world: World) -> None:
    edit = {"op": "set", "kind": "rig", "part": str(world.rig.pk), "fields": {"retired": True}}
    assert send(world, edit).status_code == 201
    world.rig.refresh_from_db()
    assert world.rig.retired


def test_a_pin_is_placed_and_read_back_as_any_part(
    world: World, settings: Any, tmp_path: Any
) -> None:
    settings.MEDIA_ROOT = tmp_path
    photo = add_photo(world)
    fields = {"photo": str(photo.pk), "about": str(world.control.pk), "x": 0.4325, "y": 1}
    edit = {"op": "add", "kind": "pin", "fields": fields}
    response = send(world, edit, base=2)
    assert response.status_code == 201
    (change,) = response.json()["revision"]["changes"]
    snapshot = api(world.tech).get(f"/api/v1/rigs/{world.rig.pk}/").json()["snapshot"]
    assert snapshot[change["part"]] == {**fields, "kind": "pin", "x": "0.4325", "y": "1"}
    wrong = send(world, {**edit, "fields": {**fields, "x": 1.5}}, base=3)
    assert wrong.status_code == 422
    assert "x" in wrong.json()["fields"]
