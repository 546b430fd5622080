"""Inputs: documented freely, moved only with a reason."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from rigs.changes.edits import Add, Set
from rigs.editing.ordering import in_order
from rigs.models import Input, Revision
from rigs.wording.changes import describe_many
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World, input_fields, make_device, make_world

WHY = {"reason_kind": "room", "reason_words": "The gallery rings."}


def edit_page(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "input_edit", world.input))


def test_an_input_is_added_without_a_reason(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    assert "reason_kind" not in page.sent
    typed = {"number": "8", "name": "Bass DI", "device": str(world.other_mic.pk)}
    assert page.send(distance_m="1 1/2 in", unit=str(world.unit.pk), **typed).status == 302
    entry = Input.objects.get(name="Bass DI")
    assert (entry.distance_m, entry.distance_unit) == (Decimal("0.0381"), "in")
    assert (entry.device, entry.unit) == (world.other_mic, world.unit)


def test_ground_lift_and_whose_pad_it_is_are_typed_shown_and_in_the_history(world: World) -> None:
    page = edit_page(world)
    assert page.send(ground_lift="on", pad_db="-20", pad_at="device").status == 302
    entry = Input.objects.get(pk=world.input.pk)
    assert (entry.ground_lift, entry.pad_at) == (True, "device")
    shown = " ".join(Page(as_user(world.tech), at(world, "input", entry)).html.split())
    for told in ("Ground lift", "Whose pad it is", "of the microphone or DI"):
        assert told in shown
    latest = Revision.objects.order_by("-number").first()
    assert latest is not None
    lines = {
        line.field_label: (line.old_text, line.new_text)
        for line in describe_many([latest])[latest.pk]
    }
    assert lines["Ground lift"] == ("off", "on")
    assert lines["Whose pad it is"][1] == "of the microphone or DI"


def test_a_length_that_is_none_is_refused_with_everything_kept(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    back = page.send(name="DI", distance_m="near", stand="tall")
    assert back.response.context["form"].errors == {
        "distance_m": ["“near” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."]
    }
    assert (back.sent["distance_m"], back.sent["stand"]) == ("near", "tall")


def test_filters_that_cross_are_refused_at_the_filter(world: World) -> None:
    back = edit_page(world).send(low_pass_hz="20")
    assert back.response.context["form"].errors == {
        "low_pass_hz": ["The LPF is below the HPF: nothing would be left."]
    }


@pytest.mark.parametrize(
    "typed",
    [
        {"device": ""},
        {"unit": ""},
        {"aimed_at": "cap"},
        {"reference_point": "floor"},
        {"distance_m": "50 mm"},
        {"angle_deg": "0"},
    ],
)
def test_moving_what_is_documented_needs_a_reason(world: World, typed: dict[str, str]) -> None:
    back = edit_page(world).send(**typed)
    assert back.status == 200
    assert "needs a reason: a listening note" in back.html
    name, value = next(iter(typed.items()))
    assert back.sent[name] == value
    assert Revision.objects.count() == 1
    assert back.send(**WHY).status == 302
    assert Revision.objects.count() == 2


@pytest.mark.parametrize(
    "typed",
    [
        {"height_m": "1.2 m"},
        {"offset_m": "-2 in"},
        {"gain_db": "32"},
        {"pan": "-40"},
        {"notes": "Taped."},
        {"phantom": "on"},
        {"stand": "short boom"},
        {"number": "9"},
    ],
)
def test_documenting_more_and_mixing_needs_none(world: World, typed: dict[str, str]) -> None:
    assert edit_page(world).send(**typed).status == 302


def test_an_emptied_length_is_not_measured_any_more(world: World) -> None:
    assert edit_page(world).send(distance_m="", **WHY).status == 302
    assert Input.objects.get().distance_m is None


def test_the_way_over_a_listening_note_is_offered(world: World) -> None:
    note = f"/p/{world.production.pk}/rigs/{world.rig.pk}/notes/new/?input={world.input.pk}"
    assert note in edit_page(world).html


def test_an_input_with_a_microphone_is_retired_only_with_a_reason(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_retire", world.input))
    back = page.send()
    assert "needs a reason" in back.html
    assert not Input.objects.get().retired
    assert back.send(**WHY).status == 302
    assert Input.objects.get().retired
    page.client.post(page.url, {"back": "1"})
    assert not Input.objects.get().retired


def test_a_retired_input_can_still_be_read(world: World) -> None:
    client = as_user(world.tech)
    Page(client, at(world, "input_retire", world.input)).send(**WHY)
    html = Page(client, at(world, "input", world.input)).html
    assert "Restore" in html
    assert "35 mm (1.4 in)" in html
    assert client.get(at(world, "input_edit", world.input)).status_code == 302


def test_the_page_shows_device_placement_and_both_units(world: World) -> None:
    html = Page(as_user(world.people["crew"]), at(world, "input", world.input)).html
    for told in ("Corvane Hollow 2", "cone edge", "grille", "35 mm (1.4 in)", "20°", "30 Hz"):
        assert told in html, told
    assert "Edit" not in html


def test_a_passive_ribbon_under_phantom_power_is_warned_of(world: World) -> None:
    ribbon = make_device(world.production, "Sail", principle="ribbon")
    url = at(world, "input", world.input)
    assert "can tear the ribbon" not in Page(as_user(world.tech), url).html
    world.record(
        Set(str(world.input.pk), "input", {"device": str(ribbon.pk), "phantom": True}), reason=HIRE
    )
    assert "can tear the ribbon" in Page(as_user(world.tech), url).html


def test_the_caution_of_what_it_stands_at_is_shown(world: World) -> None:
    html = Page(as_user(world.tech), at(world, "input", world.input)).html
    assert "Valve amplifiers hold dangerous voltages" in html


def test_inputs_are_put_in_order(world: World) -> None:
    world.record(Add(str(uuid4()), "input", {"name": "DI", "number": 8, "position": 1}))
    di = Input.objects.get(name="DI")
    as_user(world.tech).post(at(world, "inputs_order"), {"input": di.pk, "direction": "up"})
    assert [entry.name for entry in in_order(Input.objects.all())] == ["DI", "Bass mic"]


def test_a_foreign_input_is_not_found(world: World) -> None:
    other = make_world("Elsewhere")
    for name in ("input", "input_edit", "input_retire"):
        assert as_user(world.tech).get(at(world, name, other.input)).status_code == 404, name


def test_readers_may_not_change_it(world: World) -> None:
    client = as_user(world.people["manager"])
    for name in ("input_edit", "input_retire"):
        assert client.post(at(world, name, world.input), {"base": "1"}).status_code == 403, name


def test_the_queries_do_not_grow_with_the_rig(world: World) -> None:
    client, url = as_user(world.tech), at(world, "input", world.input)
    client.get(url)
    one = queries_of(client, url)
    fields = input_fields(world.unit.pk, world.mic.pk)
    world.record(*(Add(str(uuid4()), "input", fields) for _ in range(10)))
    assert queries_of(client, url) == one
