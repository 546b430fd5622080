"""Units: add with the usual controls, set, copy, retire, put in order."""

from __future__ import annotations

from uuid import uuid4

import pytest

from rigs.changes.edits import Add, Set
from rigs.editing.ordering import in_order
from rigs.gear import GEAR
from rigs.models import Control, Fact, Link, Photo, Revision, StoredPhoto, Unit
from tests.support.pages import as_user, queries_of, says
from tests.support.rig_pages import Page, at
from tests.support.world import HIRE, World, make_rig, make_world


def new_page(world: World, gear: str = "valve_head") -> Page:
    return Page(as_user(world.tech), f"{at(world, 'unit_new')}?gear={gear}")


def test_first_it_asks_what_it_is(world: World) -> None:
    html = Page(as_user(world.tech), at(world, "unit_new")).html
    assert all(f'href="?gear={key}"' in html for key in GEAR)


def test_a_kind_that_is_none_asks_again(world: World) -> None:
    assert "what is it?" in new_page(world, "%3Cscript%3E").html


@pytest.mark.parametrize("gear", GEAR)
def test_every_kind_is_added_with_its_usual_controls(world: World, gear: str) -> None:
    assert new_page(world, gear).send(name="New one").status == 302
    unit = Unit.objects.get(name="New one")
    made = [(c.name, c.style, c.choices) for c in in_order(Control.objects.filter(unit=unit))]
    assert unit.gear == gear
    assert made == [(u.name, u.style, u.choices) for u in GEAR[gear].usual if u.taken]


def test_what_some_have_is_taken_where_a_setting_is_typed(world: World) -> None:
    page = new_page(world, "pedal")
    at_supply = next(n for n, u in enumerate(GEAR["pedal"].usual) if u.name == "Supply")
    wants = "9 V, centre negative, 35 mA"
    assert page.send(name="Fuzz", **{f"setting__{at_supply}": wants}).status == 302
    made = {c.name: c.setting for c in Control.objects.filter(unit__name="Fuzz")}
    assert made["Supply"] == wants


def test_settings_are_taken_with_the_unit_in_one_change(world: World) -> None:
    typed = {"setting__0": "230", "setting__1": "9:00", "setting__6": "on"}
    refused = new_page(world).send(name="Amp", **typed)
    assert refused.response.context["form"].errors == {
        "setting-0": ["“230” is not a clock position. Write 7:00 to 5:00, such as 2:30."]
    }
    assert (refused.sent["name"], refused.sent["setting-1"]) == ("Amp", "9:00")
    assert refused.send(setting__0="2.30").status == 302
    settings = {c.name: c.setting for c in Control.objects.filter(unit__name="Amp") if c.setting}
    assert settings == {"Gain": "2:30", "Bass": "9:00", "Standby": "on"}
    assert Revision.objects.count() == 2


def test_what_it_does_not_have_is_left_out(world: World) -> None:
    page = new_page(world)
    del page.sent["take-0"]
    # Nobody minds what stands at a control that is not there.
    assert page.send(name="Amp", setting__0="nonsense").status == 302
    names = [c.name for c in in_order(Control.objects.filter(unit__name="Amp"))]
    assert names == ["Bass", "Middle", "Treble", "Presence", "Master", "Standby", "Speaker tap"]


def test_save_and_add_another_goes_back_to_the_question(world: World) -> None:
    answer = new_page(world).send(name="Amp", another="1")
    assert answer.response.headers["Location"] == at(world, "unit_new")


def test_new_units_come_last(world: World) -> None:
    for name in ("One", "Two"):
        new_page(world, "pedal").send(name=name)
    assert [u.name for u in in_order(Unit.objects.all())] == ["Head", "One", "Two"]


def test_settings_are_typed_as_crews_say_them(world: World) -> None:
    name = f"c-{world.control.pk}"
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    assert page.sent[name] == "2:30"
    answer = page.send(**{name: "3.15"})
    assert answer.status == 302
    assert Control.objects.get().setting == "3:15"


def test_a_setting_that_cannot_be_is_refused_where_it_was_typed(world: World) -> None:
    name = f"c-{world.control.pk}"
    back = Page(as_user(world.tech), at(world, "unit", world.unit)).send(**{name: "13:00"})
    assert back.status == 200
    assert list(back.response.context["form"].errors) == [name]
    assert back.sent[name] == "13:00"


def test_nothing_typed_writes_nothing_and_says_so(world: World) -> None:
    client = as_user(world.tech)
    url = at(world, "unit", world.unit)
    Page(client, url).send()
    assert says(client.get(url)) == ["Nothing was different, so nothing was written."]
    assert Revision.objects.count() == 1


def test_a_control_added_after_the_page_was_opened_is_not_emptied(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    control = {"unit": str(world.unit.pk), "name": "Master", "setting": "1:00"}
    world.record(Add(str(uuid4()), "control", control))
    page.send(**{f"c-{world.control.pk}": "4:00"})
    assert {c.name: c.setting for c in Control.objects.all()} == {"Gain": "4:00", "Master": "1:00"}


def test_a_reason_for_turning_may_be_given(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    typed = {f"c-{world.control.pk}": "4:00"}
    page.send(reason_kind="room", reason_words="Dead stage.", **typed)
    newest = Revision.objects.first()
    assert newest is not None
    assert (newest.reason_kind, newest.reason_words) == ("room", "Dead stage.")


def test_readers_see_the_settings_without_a_form(world: World) -> None:
    page = Page(as_user(world.people["player"]), at(world, "unit", world.unit))
    assert "2:30" in page.html
    assert page.sent == {}
    assert page.client.post(page.url, {"base": "1"}).status_code == 403


def test_the_caution_of_the_gear_is_shown(world: World) -> None:
    html = Page(as_user(world.tech), at(world, "unit", world.unit)).html
    assert "Leave the inside to a qualified technician." in html


def test_a_unit_is_edited(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit_edit", world.unit))
    assert page.send(maker="Orrin", tuning="D2 A2 D3 G3 B3 E4").status == 302
    unit = Unit.objects.get()
    assert (unit.maker, unit.tuning) == ("Orrin", "D2 A2 D3 G3 B3 E4")


def test_a_unit_is_copied_with_its_settings_but_not_its_serial(world: World) -> None:
    world.record(
        Set(str(world.unit.pk), "unit", {"serial": "A1"}),
        Add(str(uuid4()), "fact", {"unit": str(world.unit.pk), "key": "weight", "value": "12"}),
    )
    fly = make_rig(world.production, world.player, world.tech, "Fly")
    page = Page(as_user(world.tech), at(world, "unit_copy", world.unit))
    assert page.send(name="Head B", into=str(fly.pk)).status == 302
    copy = Unit.objects.get(rig=fly)
    assert (copy.name, copy.serial, copy.maker) == ("Head B", "", "Tarn")
    assert copy.notes == "Copied from “Head” of “Bass main”."
    assert [c.setting for c in Control.objects.filter(unit=copy)] == ["2:30"]
    assert Fact.objects.get(unit=copy).value == 12


def test_a_unit_is_not_copied_into_another_production(world: World) -> None:
    foreign = make_world("Elsewhere").rig
    back = Page(as_user(world.tech), at(world, "unit_copy", world.unit)).send(into=str(foreign.pk))
    assert list(back.response.context["form"].errors) == ["into"]


def with_belongings(world: World) -> None:
    cabinet = str(uuid4())
    image = StoredPhoto.objects.create(
        production=world.production,
        sha256="1" * 64,
        thumb_sha256="1" * 64,
        width=1,
        height=1,
        bytes=1,
        taken_by=world.tech,
    )
    world.record(
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet", "position": 1}),
        Add(str(uuid4()), "control", {"unit": cabinet, "name": "Tilt"}),
        Add(str(uuid4()), "fact", {"unit": cabinet, "key": "weight", "value": "20"}),
        Add(str(uuid4()), "link", {"source": str(world.unit.pk), "target": cabinet}),
        Add(str(uuid4()), "photo", {"image": str(image.pk), "about": cabinet}),
    )


BELONGINGS = (Control, Fact, Link, Photo)


def test_what_belongs_to_a_unit_leaves_with_it_and_comes_back_with_it(world: World) -> None:
    with_belongings(world)
    cabinet = Unit.objects.get(name="Cabinet")
    page = Page(as_user(world.tech), at(world, "unit_retire", cabinet))
    for told in (
        "Control “Tilt”",
        "Cable “Head → Cabinet”",
        "Figure “weight in its case”",
        "Photo “photo”",
    ):
        assert told in page.html
    assert page.send().status == 302
    assert Unit.objects.get(name="Cabinet").retired
    assert [m.objects.filter(retired=True).count() for m in BELONGINGS] == [1, 1, 1, 1]
    page.client.post(page.url, {"back": "1"})
    assert not Unit.objects.get(name="Cabinet").retired
    assert [m.objects.filter(retired=True).count() for m in BELONGINGS] == [0, 0, 0, 0]


def test_a_cable_to_what_is_gone_does_not_come_back(world: World) -> None:
    with_belongings(world)
    client = as_user(world.tech)
    cabinet = Unit.objects.get(name="Cabinet")
    Page(client, at(world, "unit_retire", cabinet)).send()
    Page(client, at(world, "input_retire", world.input)).send(
        reason_kind="room", reason_words="No mic."
    )
    Page(client, at(world, "unit_retire", world.unit)).send()
    client.post(at(world, "unit_retire", cabinet), {"back": "1"})
    assert not Unit.objects.get(name="Cabinet").retired
    assert Link.objects.get().retired


def test_a_unit_that_is_heard_stays_and_says_by_what(world: World) -> None:
    back = Page(as_user(world.tech), at(world, "unit_retire", world.unit)).send()
    assert back.status == 200
    assert "“Head” is still heard by 7 Bass mic." in back.html
    assert not Unit.objects.get().retired


def test_working_on_a_retired_unit_leads_to_its_page(world: World) -> None:
    world.record(Set(str(world.input.pk), "input", {"unit": None}), reason=HIRE)
    client = as_user(world.tech)
    Page(client, at(world, "unit_retire", world.unit)).send()
    own = at(world, "unit", world.unit)
    for name in ("unit_edit", "unit_copy", "control_new"):
        answer = client.get(at(world, name, world.unit))
        assert (answer.status_code, answer.headers["Location"]) == (302, own), name
    assert "Restore" in client.get(own).content.decode()


def test_units_are_put_in_order(world: World) -> None:
    for name in ("One", "Two"):
        new_page(world, "pedal").send(name=name)
    two = Unit.objects.get(name="Two")
    client, url = as_user(world.tech), at(world, "units_order")
    client.post(url, {"unit": str(two.pk), "direction": "up"})
    assert [u.name for u in in_order(Unit.objects.all())] == ["Head", "Two", "One"]
    client.post(url, {"unit": str(two.pk), "direction": "up"})
    made = Revision.objects.count()
    client.post(url, {"unit": str(two.pk), "direction": "up"})  # at the end already
    assert [u.name for u in in_order(Unit.objects.all())] == ["Two", "Head", "One"]
    assert Revision.objects.count() == made


@pytest.mark.parametrize("sent", ["", "nonsense"])
def test_an_order_for_nothing_is_a_bad_request(world: World, sent: str) -> None:
    assert as_user(world.tech).post(at(world, "units_order"), {"unit": sent}).status_code == 400


def test_a_foreign_unit_is_not_found(world: World) -> None:
    other = make_world("Elsewhere")
    client = as_user(world.tech)
    for name in ("unit", "unit_edit", "unit_copy", "unit_retire", "control_new"):
        assert client.get(at(world, name, other.unit)).status_code == 404, name
    answer = client.post(at(world, "units_order"), {"unit": str(other.unit.pk)})
    assert answer.status_code == 404


def test_the_queries_do_not_grow_with_controls_and_units(world: World) -> None:
    client, url = as_user(world.tech), at(world, "unit", world.unit)
    client.get(url)
    few = queries_of(client, url)
    own = {"unit": str(world.unit.pk), "name": "Level"}
    world.record(
        *(Add(str(uuid4()), "control", own) for _ in range(20)),
        *(Add(str(uuid4()), "unit", {"name": "Pedal"}) for _ in range(20)),
    )
    assert queries_of(client, url) == few


def test_dials_with_numbers_are_said_once_for_all_of_a_unit(world: World) -> None:
    page = new_page(world)
    assert page.html.count("Its dials are read") == 1
    typed = {"setting__0": "6.5", "setting__1": "0", "setting__6": "on"}
    refused = page.send(name="Amp", dials="clock", **typed)
    assert "not a clock position" in refused.html
    assert refused.send(dials="numbers").status == 302
    kept = {c.name: (c.style, c.setting) for c in Control.objects.filter(unit__name="Amp")}
    assert kept["Gain"] == ("dial", "6.5")
    assert kept["Bass"] == ("dial", "0")
    assert kept["Treble"] == ("dial", "")
    assert kept["Standby"] == ("switch", "on")


def test_what_was_said_of_the_dials_stays_on_a_form_that_comes_back(world: World) -> None:
    back = new_page(world).send(name="Amp", dials="numbers", setting__0="11")
    assert "11 is off the dial, which runs 0 to 10." in back.html
    assert back.sent["dials"] == "numbers"
    assert 'data-dial="dial"' in back.html


def test_gear_without_a_clock_is_not_asked_how_its_dials_are_read(world: World) -> None:
    assert "Its dials are read" not in new_page(world, "compressor").html
