"""Controls and cables: add, edit, retire, put in order."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from rigs.changes.edits import Add
from rigs.editing.ordering import in_order
from rigs.models import Control, Link, Unit
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World, make_world


@pytest.fixture
def cabinet(world: World) -> Unit:
    world.record(Add(str(uuid4()), "unit", {"name": "Cabinet", "gear": "cabinet"}))
    found: Unit = Unit.objects.get(name="Cabinet")
    return found


def test_a_control_is_added_last(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_new", world.unit))
    assert page.send(name="Bright", style="switch", choices="off, on", setting="ON").status == 302
    gain, bright = in_order(Control.objects.all())
    assert (bright.unit, bright.setting, gain.name) == (world.unit, "on", "Gain")


def test_a_numbered_dial_knows_its_scale(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_new", world.unit))
    back = page.send(name="Level", style="dial", low="0", high="10", setting="11")
    assert back.response.context["form"].errors == {
        "setting": ["11 is off the dial, which runs 0 to 10."]
    }
    assert back.send(setting="6,50").status == 302
    assert Control.objects.get(name="Level").setting == "6.5"


def test_save_and_add_another_control(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "control_new", world.unit))
    answer = page.send(name="Bass", another="1")
    assert answer.response.headers["Location"] == f"{page.url}?style=clock"


def test_a_control_is_edited_and_retired_and_comes_back(world: World) -> None:
    client = as_user(world.tech)
    assert Page(client, at(world, "control_edit", world.control)).send(name="Drive").status == 302
    assert Control.objects.get().name == "Drive"
    page = Page(client, at(world, "control_retire", world.control))
    assert page.send().response.headers["Location"] == at(world, "unit", world.unit)
    assert Control.objects.get().retired
    client.post(page.url, {"back": "1"})
    assert not Control.objects.get().retired


def test_controls_are_put_in_order_within_their_unit(world: World, cabinet: Unit) -> None:
    for name, unit in (("Master", world.unit), ("Tilt", cabinet)):
        world.record(Add(str(uuid4()), "control", {"unit": unit.pk, "name": name, "position": 1}))
    client, url = as_user(world.tech), at(world, "controls_order", world.unit)
    master = Control.objects.get(name="Master")
    client.post(url, {"control": master.pk, "direction": "up"})
    assert [c.name for c in in_order(Control.objects.filter(unit=world.unit))] == ["Master", "Gain"]
    assert Control.objects.get(name="Tilt").position == 1


def test_a_cable_is_added_with_its_length(world: World, cabinet: Unit) -> None:
    page = Page(as_user(world.tech), at(world, "link_new"))
    ends = {"source": str(world.unit.pk), "target": str(cabinet.pk), "carries": "speaker"}
    assert page.send(cable="Blue, 2-pole", length_m="1.5", **ends).status == 302
    link = Link.objects.get()
    assert (link.source, link.target) == (world.unit, cabinet)
    assert (link.length_m, link.length_unit, link.carries) == (Decimal("1.5"), "m", "speaker")


def test_a_cable_back_into_its_own_unit_is_refused(world: World, cabinet: Unit) -> None:
    page = Page(as_user(world.tech), at(world, "link_new"))
    back = page.send(source=str(cabinet.pk), target=str(cabinet.pk))
    assert back.response.context["form"].errors == {
        "target": ["A cable from a unit back into itself is no path."]
    }


def test_a_cable_to_another_rigs_unit_is_refused(world: World) -> None:
    foreign = make_world("Elsewhere").unit
    page = Page(as_user(world.tech), at(world, "link_new"))
    back = page.send(source=str(world.unit.pk), target=str(foreign.pk))
    assert list(back.response.context["form"].errors) == ["target"]


def test_a_cable_is_edited_and_retired_and_comes_back(world: World, cabinet: Unit) -> None:
    ends = {"source": str(world.unit.pk), "target": str(cabinet.pk)}
    world.record(Add(str(uuid4()), "link", ends))
    link, client = Link.objects.get(), as_user(world.tech)
    assert Page(client, at(world, "link_edit", link)).send(cable="Red").status == 302
    assert Link.objects.get().cable == "Red"
    page = Page(client, at(world, "link_retire", link))
    assert page.send().status == 302
    assert Link.objects.get().retired
    client.post(page.url, {"back": "1"})
    assert not Link.objects.get().retired


def test_what_cannot_come_back_says_why(world: World, cabinet: Unit) -> None:
    ends = {"source": str(world.unit.pk), "target": str(cabinet.pk)}
    world.record(Add(str(uuid4()), "link", ends))
    link, client = Link.objects.get(), as_user(world.tech)
    Page(client, at(world, "link_retire", link)).send()
    Page(client, at(world, "unit_retire", cabinet)).send()
    answer = client.post(at(world, "link_retire", link), {"back": "1"}, follow=True)
    assert "cannot come back: This rig has no such unit any more." in answer.content.decode()
    assert Link.objects.get().retired


def test_cables_are_put_in_order(world: World, cabinet: Unit) -> None:
    ends = {"source": str(world.unit.pk), "target": str(cabinet.pk)}
    for position, name in enumerate(("Left", "Right"), start=1):
        world.record(Add(str(uuid4()), "link", {**ends, "cable": name, "position": position}))
    right = Link.objects.get(cable="Right")
    as_user(world.tech).post(at(world, "links_order"), {"link": right.pk, "direction": "up"})
    assert [link.cable for link in in_order(Link.objects.all())] == ["Right", "Left"]


def test_foreign_parts_are_not_found(world: World) -> None:
    other, client = make_world("Elsewhere"), as_user(world.tech)
    for name in ("control_edit", "control_retire"):
        assert client.get(at(world, name, other.control)).status_code == 404, name
    for name in ("link_edit", "link_retire"):
        assert client.get(at(world, name, uuid4())).status_code == 404, name
    answer = client.post(at(world, "controls_order", world.unit), {"control": other.control.pk})
    assert answer.status_code == 404


def test_readers_may_not(world: World) -> None:
    client = as_user(world.people["player"])
    assert client.get(at(world, "control_new", world.unit)).status_code == 403
    assert client.get(at(world, "control_edit", world.control)).status_code == 403
    assert client.post(at(world, "links_order"), {}).status_code == 403
