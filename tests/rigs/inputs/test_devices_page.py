"""The catalogue of microphones and DIs."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.test import override_settings

from core.models import User
from core.search.backend import search
from rigs.changes.edits import Retire, Set
from rigs.inputs.devices import FIXED, check_identity
from rigs.models import Device
from tests.support.pages import as_user, at, queries_of
from tests.support.rig_pages import Page
from tests.support.world import HIRE, World, make_device, make_world


def edit_page(world: World, device: Device) -> Page:
    return Page(as_user(world.tech), at(world, "rigs:device_edit", device.pk))


def test_the_list_tells_what_is_there_and_where_it_is_used(world: World) -> None:
    html = as_user(world.people["crew"]).get(at(world, "rigs:devices")).content.decode()
    for told in (
        "Corvane Hollow 2",
        "Microphone, moving coil, cardioid",
        "on 1 input",
        "not in use",
    ):
        assert told in html, told
    assert "Add one" not in html


def test_an_empty_catalogue_says_what_it_is_for(world: World) -> None:
    Device.objects.update(retired_at="2026-01-01T00:00:00Z")
    html = as_user(world.tech).get(at(world, "rigs:devices")).content.decode()
    assert "No microphone or DI yet" in html
    assert "Retired (2)" in html


def test_a_device_is_added(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "rigs:device_new"))
    typed = {"name": "Selvage", "form": "di", "principle": "di_active", "impedance_ohm": "1000000"}
    assert page.send(**typed).status == 302
    device = Device.objects.get(name="Selvage")
    assert (device.production, device.impedance_ohm) == (world.production, 1_000_000)


def test_only_a_boundary_microphone_hears_half_a_space(world: World) -> None:
    typed = {"name": "Sill", "form": "mic", "pattern": "half_omni"}
    page = Page(as_user(world.tech), at(world, "rigs:device_new"))
    back = page.send(principle="condenser", **typed)
    assert back.response.context["form"].errors == {
        "pattern": ["Only a boundary microphone has a half-space pattern."]
    }
    assert back.send(principle="boundary").status == 302
    html = as_user(world.tech).get(at(world, "rigs:devices")).content.decode()
    assert "Microphone, boundary, half space, all round" in html


def test_a_device_that_history_mentions_keeps_its_identity(world: World) -> None:
    page = edit_page(world, world.mic)
    assert str(FIXED) in page.html
    back = page.send(name="Another", principle="ribbon")
    assert back.response.context["form"].errors == {"name": [FIXED], "principle": [FIXED]}
    world.mic.refresh_from_db()
    assert (world.mic.name, world.mic.principle) == ("Hollow 2", "dynamic")


def test_its_figures_may_be_completed(world: World) -> None:
    assert edit_page(world, world.mic).send(sensitivity_mv_pa="1.8").status == 302
    world.mic.refresh_from_db()
    assert str(world.mic.sensitivity_mv_pa) == "1.800"


def test_a_device_of_the_past_counts_as_mentioned(world: World) -> None:
    world.swap(world.other_mic, HIRE)
    assert edit_page(world, world.mic).send(name="Another").status == 200
    world.swap(world.mic, HIRE)
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    assert edit_page(world, world.other_mic).send(name="Another").status == 200


def test_a_device_nobody_used_may_be_renamed(world: World) -> None:
    assert edit_page(world, world.other_mic).send(name="Eskvane 5").status == 302
    world.other_mic.refresh_from_db()
    assert world.other_mic.name == "Eskvane 5"


def test_the_rule_holds_without_a_form(world: World) -> None:
    with pytest.raises(ValidationError) as caught:
        check_identity(world.mic, {"name": "Another", "notes": "x"})
    assert caught.value.message_dict == {"name": [FIXED]}
    check_identity(world.mic, {"name": "Hollow 2"})
    check_identity(world.other_mic, {"name": "Another"})


def test_a_device_used_while_it_was_renamed_keeps_its_name(world: World) -> None:
    page = edit_page(world, world.other_mic)
    world.swap(world.other_mic, HIRE)
    back = page.send(name="Eskvane 5")
    assert back.response.context["form"].errors == {"name": [FIXED]}


def test_somebody_else_saved_meanwhile(world: World) -> None:
    page = edit_page(world, world.mic)
    assert edit_page(world, world.mic).send(notes="Theirs.").status == 302
    back = page.send(notes="Mine.")
    assert back.status == 200
    assert "Someone else changed this while you were typing." in back.html
    assert "Now there: Theirs." in back.html


def test_a_device_is_retired_and_comes_back(world: World) -> None:
    client, url = as_user(world.tech), at(world, "rigs:device_retire", world.mic.pk)
    client.post(url)
    world.mic.refresh_from_db()
    assert world.mic.is_retired
    client.post(url, {"back": "1"})
    world.mic.refresh_from_db()
    assert not world.mic.is_retired


def test_its_page_tells_where_it_is_used(world: World) -> None:
    page = Page(as_user(world.people["crew"]), at(world, "rigs:device", world.mic.pk))
    assert "7 Bass mic" in page.html
    assert "Ines Halloran: Bass main" in page.html
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    page = Page(page.client, page.url)
    assert "On no input at the moment." in page.html


def test_hostile_names_stay_text(world: World) -> None:
    device: Any = make_device(world.production, "<script>x</script>" + "W" * 90)
    for url in (at(world, "rigs:devices"), at(world, "rigs:device", device.pk)):
        html = as_user(world.tech).get(url).content.decode()
        assert "<script>x" not in html
        assert "&lt;script&gt;x" in html


def test_who_may(world: World) -> None:
    foreign = make_world("Elsewhere").mic
    for name in ("device", "device_edit"):
        for pk in (foreign.pk, uuid4()):
            assert as_user(world.tech).get(at(world, f"rigs:{name}", pk)).status_code == 404
    crew = as_user(world.people["crew"])
    assert crew.get(at(world, "rigs:device_edit", world.mic.pk)).status_code == 403
    assert crew.post(at(world, "rigs:device_retire", world.mic.pk)).status_code == 403
    assert as_user(world.outsider).get(at(world, "rigs:devices")).status_code == 404


@override_settings(KEPT_CHECKED=False)
def test_the_queries_do_not_grow_with_the_catalogue(world: World) -> None:
    client, url = as_user(world.tech), at(world, "rigs:devices")
    client.get(url)
    asked = []
    for _ in range(2):
        for number in range(20):
            make_device(world.production, f"Mic {number}")
        asked.append((queries_of(client, url), queries_of(client, url)))
    (first, later), more = asked
    assert more == (first, later)
    assert later <= 4 < first  # what stands there is kept until something is written


@override_settings(KEPT_CHECKED=False)
def test_what_the_list_shows_is_what_is_there_now(world: World) -> None:
    client, url = as_user(world.tech), at(world, "rigs:devices")

    def told() -> str:
        return client.get(url).content.decode()

    assert "on 1 input" in told()
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    assert "on 1 input" not in told()
    world.mic.name = "Renamed"
    world.mic.save()
    assert "Renamed" in told()
    assert "Microphone, " in told()
    User.objects.filter(pk=world.tech.pk).update(language="de")
    assert "Mikrofon, " in told()


def test_how_many_are_owned_and_their_serial_numbers(world: World) -> None:
    page = edit_page(world, world.mic)
    back = page.send(owned="1", serials="H2-0007\nH2-0008")
    assert back.response.context["form"].errors == {
        "serials": ["2 serial numbers, but the number owned is 1."]
    }
    again = back.send(owned="3", serials="H2-0007\n\n  H2-0007 ")
    assert again.response.context["form"].errors == {
        "serials": ["Stands there more than once: H2-0007."]
    }
    assert again.send(serials=" H2-0007\r\n\r\nH2-0008").status == 302
    world.mic.refresh_from_db()
    assert (world.mic.owned, world.mic.serial_numbers) == (3, ["H2-0007", "H2-0008"])
    html = as_user(world.tech).get(at(world, "rigs:device", world.mic.pk)).content.decode()
    assert "<dt>Number owned</dt><dd>3</dd>" in html
    assert "<dd>H2-0007, H2-0008</dd>" in html


def test_a_device_is_found_by_its_serial_number(world: World) -> None:
    assert edit_page(world, world.mic).send(owned="1", serials="H2-0007").status == 302
    hits = search(world.production, "H2-0007").hits
    assert [hit.path for hit in hits] == [at(world, "rigs:device", world.mic.pk)]
