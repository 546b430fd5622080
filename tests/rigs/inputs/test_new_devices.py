"""Devices made where they are needed: with an input, several at once, over the API."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.access.policy import POLICY, Action
from core.models.roles import Role
from rigs.models import Device, Input, Revision
from tests.support.api import api
from tests.support.pages import as_user
from tests.support.pages import at as place
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World

WORDS = "dynamic cardioid, Hallam D2"


def new_page(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "input_new"))


def test_whoever_edits_rigs_edits_devices() -> None:
    """The form of an input makes devices, so it asks for no second right."""
    assert POLICY[Action.EDIT_RIG] <= POLICY[Action.EDIT_DEVICES]


def test_a_device_is_made_with_its_input_once_it_was_looked_at(world: World) -> None:
    before = Device.objects.count()
    shown = new_page(world).send(number="9", name="Snare", new_device=WORDS)
    assert Device.objects.count() == before
    assert not Input.objects.filter(name="Snare").exists()
    for told in ("Nothing is saved yet", "moving coil", "cardioid", "Hallam"):
        assert told in shown.html
    assert (shown.sent["name"], shown.sent["new_device"]) == ("Snare", WORDS)
    assert shown.send().status == 302
    entry = Input.objects.get(name="Snare")
    assert entry.device is not None
    assert (str(entry.device), entry.device.principle) == ("Hallam D2", "dynamic")
    assert Device.objects.count() == before + 1


def test_other_words_are_looked_at_anew(world: World) -> None:
    shown = new_page(world).send(number="9", name="Snare", new_device=WORDS)
    again = shown.send(new_device="dynamic omni, Hallam D2")
    assert "omnidirectional" in again.html
    assert not Device.objects.filter(name="D2").exists()
    assert again.send().status == 302
    assert Device.objects.get(name="D2").pattern == "omni"


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"new_device": "Hallam D2"}, "does not say what it is"),
        ({"new_device": "dynamic omni, Corvane, Eskvane 4"}, "is in the list already"),
    ],
)
def test_what_cannot_be_made_is_said_at_the_words(
    world: World, more: dict[str, str], why: str
) -> None:
    back = new_page(world).send(name="Snare", **more)
    assert why in back.response.context["form"].errors["new_device"][0]
    assert back.sent["new_device"] == more["new_device"]


def test_chosen_and_described_is_one_too_many(world: World) -> None:
    back = new_page(world).send(name="Snare", device=str(world.mic.pk), new_device=WORDS)
    assert "not both" in back.html


def test_nothing_is_made_where_the_input_is_refused(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    shown = page.send(new_device=WORDS)
    refused = shown.send()  # a documented microphone changes, and nobody said why
    assert "reason_kind" in refused.response.context["form"].errors
    assert not Device.objects.filter(name="D2").exists()
    assert refused.sent["new_device"] == WORDS
    done = refused.send(reason_kind="room", reason_words="The gallery rings.")
    assert done.status == 302
    entry = Input.objects.get(pk=world.input.pk)
    assert str(entry.device) == "Hallam D2"


def test_a_swap_is_decided_once_for_the_words(world: World) -> None:
    why = {"reason_kind": "room", "reason_words": "The gallery rings."}
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    assert page.send(phantom="on", **why).status == 302
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    words = "passive ribbon figure of eight, Hallam R"
    asked = page.send(new_device=words, **why).send()
    assert "phantom" in asked.response.context["form"].errors
    assert not Device.objects.filter(name="R").exists()
    assert asked.send().status == 302
    entry = Input.objects.get(pk=world.input.pk)
    assert (str(entry.device), entry.phantom) == ("Hallam R", False)


def test_a_conflict_shows_the_new_device_and_keeps_its_words(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    world.swap(world.other_mic, HIRE)
    why = {"reason_kind": "room", "reason_words": "The gallery rings."}
    back = page.send(new_device=WORDS, **why).send()
    assert back.status == 409
    assert f"new: {WORDS}" in back.html
    assert not Device.objects.filter(name="D2").exists()
    mine = back.send(choice__device="typed")
    assert mine.status == 302
    entry = Input.objects.get(pk=world.input.pk)
    assert str(entry.device) == "Hallam D2"


def test_theirs_chosen_makes_no_device(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_edit", world.input))
    world.swap(world.other_mic, HIRE)
    why = {"reason_kind": "room", "reason_words": "The gallery rings."}
    back = page.send(new_device=WORDS, **why).send()
    assert back.send(choice__device="now").status == 302
    assert Input.objects.get(pk=world.input.pk).device == world.other_mic
    assert not Device.objects.filter(name="D2").exists()


def test_the_reading_follows_while_one_types(world: World) -> None:
    client, url = as_user(world.tech), place(world, "rigs:device_read")
    assert "moving coil" in client.get(url, {"new_device": WORDS}).content.decode()
    assert "active or passive" in client.get(url, {"new_device": "DI, Box"}).content.decode()
    assert not client.get(url).content.decode().strip()


def several(world: World) -> Page:
    return Page(as_user(world.tech), place(world, "rigs:devices_several"))


def test_several_are_looked_at_then_added(world: World) -> None:
    before = Device.objects.count()
    shown = several(world).send(lines=f"{WORDS}\n\n2 × active DI, Tarn Box")
    assert Device.objects.count() == before
    assert "moving coil" in shown.html
    sent = {"line": [WORDS, "2 × active DI, Tarn Box"]}
    # Sent without having been seen, it is shown again.
    client, url = as_user(world.tech), shown.url
    assert client.post(url, sent).status_code == 200
    assert Device.objects.count() == before
    assert client.post(url, sent | {"seen": sent["line"]}).status_code == 302
    made = Device.objects.filter(name__in=["D2", "Box"]).order_by("name")
    assert [(d.name, d.form, d.owned) for d in made] == [("Box", "di", 2), ("D2", "mic", None)]


def test_bad_lines_are_mended_in_place_and_keep_the_others(world: World) -> None:
    client, url = as_user(world.tech), place(world, "rigs:devices_several")
    shown = client.post(url, {"lines": f"{WORDS}\nDI, Tarn Box"}).content.decode()
    assert "Line 2: A DI is active or passive" in shown
    assert 'value="DI, Tarn Box"' in shown
    some = client.post(url, {"line": [WORDS, "DI, Tarn Box"], "seen": [WORDS]})
    assert (some.status_code, Device.objects.filter(name="D2").exists()) == (200, False)
    mended = {"line": [WORDS, "DI active, Tarn Box"], "seen": [WORDS]}
    assert 'value="DI active, Tarn Box"' in client.post(url, mended).content.decode()
    assert client.post(url, mended | {"seen": mended["line"]}).status_code == 302
    assert Device.objects.filter(name__in=["D2", "Box"]).count() == 2


def test_back_to_the_lines_keeps_what_was_mended(world: World) -> None:
    client, url = as_user(world.tech), place(world, "rigs:devices_several")
    back = client.post(url, {"line": [WORDS, "omni"], "again": "1"}).content.decode()
    assert f"{WORDS}\nomni</textarea>" in back


def given(**more: Any) -> dict[str, Any]:
    named = {"name": "D2", "maker": "Hallam", "form": "mic", "principle": "dynamic"}
    return named | {"pattern": "cardioid"} | more


def test_over_the_api_words_are_read_and_devices_made_of_it(world: World) -> None:
    client, url = api(world.tech), f"/api/v1/productions/{world.production.pk}/devices/"
    before = Device.objects.count()
    read = client.post(f"{url}read/", {"lines": f"{WORDS}\nDI, Box"}).json()
    assert read[0]["device"]["principle"] == "dynamic"
    assert (read[1]["device"], "active or passive" in read[1]["wrong"]) == (None, True)
    assert Device.objects.count() == before
    made = client.post(url, {"devices": [read[0]["device"]]})
    assert made.status_code == 201
    assert Device.objects.get(pk=made.json()[0]["id"]).name == "D2"


def test_over_the_api_all_are_made_or_none(world: World) -> None:
    client, url = api(world.tech), f"/api/v1/productions/{world.production.pk}/devices/"
    bad = given(name="D3", pattern="half_omni")
    assert client.post(url, {"devices": [given(), bad]}).status_code == 422
    assert not Device.objects.filter(maker="Hallam").exists()
    assert api(world.people[Role.PLAYER]).post(url, {"devices": [given()]}).status_code == 403


def test_over_the_api_a_device_is_made_with_the_change_that_names_it(world: World) -> None:
    pk = str(uuid4())
    edit = {"op": "add", "kind": "input", "fields": {"number": 9, "name": "Snare", "device": pk}}
    url = f"/api/v1/rigs/{world.rig.pk}/changes/"
    sent = {"base": 1, "devices": [given(id=pk)], "edits": [edit]}
    wrong = sent | {"edits": [edit, {"op": "add", "kind": "unit", "fields": {"gear": "none"}}]}
    assert api(world.tech).post(url, wrong).status_code == 422
    assert not Device.objects.filter(pk=pk).exists()
    assert Revision.objects.filter(rig=world.rig).count() == 1
    assert api(world.tech).post(url, sent).status_code == 201
    assert str(Input.objects.get(name="Snare").device) == "Hallam D2"
    assert api(world.tech).post(url, sent | {"base": 2}).status_code == 400
