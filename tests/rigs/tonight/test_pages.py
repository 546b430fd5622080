"""Tonight's gear on its pages: said, shown everywhere, carried over, made permanent."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from core.models import Leg, Show
from core.models.roles import Role
from rigs.changes.edits import Add
from rigs.models import Control, Unit, UnitAtShow, UnitAtShowChange
from rigs.revisions.read import live
from rigs.shows.services import pack_of_show
from tests.support.pages import as_user
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def leg(world: World) -> Leg:
    today = date(2030, 5, 1)
    return Leg.objects.create(
        production=world.production, name="Coast", starts_on=today, ends_on=date(2030, 5, 9)
    )


@pytest.fixture
def shows(leg: Leg) -> list[Show]:
    days = [leg.starts_on + timedelta(days=n) for n in range(3)]
    return [Show.objects.create(leg=leg, held_on=day, room="Barn") for day in days]


def at(show: Show, name: str, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[show.leg.production_id, show.pk, *more])


def hired(**more: Any) -> dict[str, Any]:
    names = ("Drive", "Bass", "Mid", "Treble", "Presence", "Level")
    settings = ("2:30", "11:00", "12:00", "1:30", "9:00", "12:00")
    lines = {f"n-{n}": name for n, name in enumerate(names)}
    lines |= {f"v-{n}": setting for n, setting in enumerate(settings)}
    typed = {
        "gear": "head",
        "maker": "Brack",
        "model": "Four Hundred",
        "from_whom": "Kestrel Hire",
        "why": "hire",
        "words": "Ours is in repair.",
        "lasts": "show",
        "seen": "0",
    }
    return typed | lines | more


@pytest.fixture
def came(world: World, tech: Client, shows: list[Show]) -> UnitAtShow:
    answer = tech.post(at(shows[0], "unit_replaced_tonight", world.unit.pk), hired())
    assert answer.status_code == 302, answer.context["form"].errors
    return UnitAtShow.objects.get()


def test_a_hired_head_with_six_dials_is_drawn_beside_ours(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    before = live(world.rig)
    page = tech.get(at(shows[0], "show_gear")).content.decode()
    assert page.count('class="dial') >= 6
    assert "Brack Four Hundred" in page
    assert "documented: Tarn" in page
    assert "Gain 2:30" in page
    assert "this show only" in page
    assert "From Kestrel Hire" in page
    assert live(world.rig) == before
    # The next show has it as documented.
    assert "Brack" not in tech.get(at(shows[1], "show_gear")).content.decode().split("Tried")[0]


def test_tonight_is_shown_wherever_tonight_is(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    place = world.production.pk
    addresses = [
        at(shows[0], "rig_tonight", world.rig.pk),
        at(shows[0], "show_inputs"),
        reverse("notes:line_check", args=[place, shows[0].pk]),
    ]
    for address in addresses:
        page = tech.get(address).content.decode()
        assert "Brack Four Hundred" in page, address
    rows = tech.get(at(shows[0], "show_inputs_file", "csv")).content.decode()
    assert "Brack Four Hundred" in rows
    sheet = tech.get(at(shows[0], "recall_tonight", world.rig.pk))
    assert sheet.headers["Content-Type"] == "application/pdf"
    api = tech.get(reverse("api-show-gear", args=[shows[0].pk])).json()
    assert api[0]["line"].startswith("Head: Brack Four Hundred from Kestrel Hire, Drive 2:30")


def test_the_page_of_the_rig_leads_to_the_one_that_differs(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    page = tech.get(world.rig.get_absolute_url())
    shown = " ".join(page.content.decode().split())
    assert f'<a href="{at(shows[0], "rig_tonight", world.rig.pk)}">1 May' in shown
    assert "1 differs</span>" in shown


def test_where_nothing_differs_the_page_of_the_rig_offers_no_layer(
    world: World, tech: Client, shows: list[Show]
) -> None:
    shown = tech.get(world.rig.get_absolute_url()).content.decode()
    assert 'aria-label="Which layer"' not in shown


def test_what_is_set_differently_counts_for_this_show_or_for_the_leg(
    world: World, tech: Client, shows: list[Show]
) -> None:
    address = at(shows[1], "unit_set_tonight", world.unit.pk)
    field = f"c-{world.control.pk}"
    assert tech.get(address).context["form"][field].value() == "2:30"
    answer = tech.post(address, {field: "4.00", "lasts": "leg", "seen": "0"})
    assert answer.status_code == 302
    held = [_gain(tech, show, world) for show in shows]
    assert held == ["2:30", "4:00", "4:00"]
    again = at(shows[2], "unit_set_tonight", world.unit.pk)
    tech.post(again, {field: "9:00", "lasts": "show", "seen": "0"})
    assert _gain(tech, shows[2], world) == "9:00"
    # Undone, the layer of the leg holds again; undone once more, what is documented.
    row = UnitAtShow.objects.get(show=shows[2])
    tech.post(again, {field: "4:00", "lasts": "show", "seen": str(row.version)})
    assert _gain(tech, shows[2], world) == "4:00"
    tech.post(at(shows[2], "unit_as_documented", world.unit.pk))
    assert [_gain(tech, show, world) for show in shows] == ["2:30", "4:00", "2:30"]


def _gain(client: Client, show: Show, world: World) -> str:
    view = client.get(at(show, "rig_tonight", world.rig.pk)).context["tonight"].view
    return str(view.unit(str(world.unit.pk)).controls[0].setting)


def test_radio_is_understood_and_nonsense_refused_where_it_is_typed(
    world: World, tech: Client, shows: list[Show]
) -> None:
    unit = str(uuid4())
    world.record(Add(unit, "unit", {"name": "Voice radio", "gear": "wireless"}))
    address = at(shows[0], "unit_set_tonight", unit)
    typed = {"radio": "863.1.2", "pack": "3", "lasts": "leg", "seen": "0", "words": "Local TV."}
    refused = tech.post(address, typed)
    assert refused.status_code == 200
    form = refused.context["form"]
    assert "“863.1.2” is no frequency and no channel" in form.errors["radio"][0]
    assert form["words"].value() == "Local TV."
    assert tech.post(address, typed | {"radio": "863,125"}).status_code == 302
    page = tech.get(at(shows[2], "show_gear")).content.decode()
    assert "863.125 MHz" in page
    assert "from 1 May to the end of the leg" in page


def test_it_is_carried_over_only_where_asked(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    address = at(shows[0], "show_gear_carry")
    assert "Brack Four Hundred" in tech.get(address).content.decode()
    assert UnitAtShow.objects.count() == 1
    tech.post(address)
    copy = UnitAtShow.objects.get(show=shows[1])
    assert [c.setting for c in copy.controls.all()] == [c.setting for c in came.controls.all()]
    assert copy.fared == ""
    # Sent again it says nothing twice; what is said there stays.
    tech.post(address)
    assert UnitAtShow.objects.count() == 2
    assert "Left as it is" in tech.get(address).content.decode()


def test_it_becomes_permanent_through_the_gateway_with_its_reason(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    address = at(shows[0], "tonight_permanent", came.pk)
    page = tech.get(address)
    base = page.context["form"]["base"].value()
    without = tech.post(address, {"base": base, "kind": "", "words": ""})
    assert without.context["form"].errors["words"]
    answer = tech.post(address, {"base": base, "kind": "hire", "words": "We bought it."})
    assert answer.status_code == 302
    world.rig.refresh_from_db()
    newest = world.rig.revisions.order_by("-number").first()
    assert (newest.reason_kind, newest.reason_words) == ("hire", "We bought it.")
    unit = Unit.objects.get(pk=world.unit.pk)
    assert (unit.gear, unit.maker, unit.model) == ("head", "Brack", "Four Hundred")
    own = Control.objects.live().filter(unit=unit).order_by("position")
    assert [(c.name, c.setting) for c in own][:2] == [("Drive", "2:30"), ("Bass", "11:00")]
    page_after = tech.get(at(shows[0], "show_gear")).content.decode()
    assert f"change {newest.number}" in page_after
    assert "Everything is as documented" in page_after


def test_a_conflict_is_shown_and_nothing_written(
    world: World, tech: Client, shows: list[Show]
) -> None:
    field = f"c-{world.control.pk}"
    tech.post(
        at(shows[0], "unit_set_tonight", world.unit.pk),
        {field: "4:00", "lasts": "show", "seen": "0"},
    )
    row = UnitAtShow.objects.get()
    address = at(shows[0], "tonight_permanent", row.pk)
    base = tech.get(address).context["form"]["base"].value()
    world.turn("1:00", author=world.engineer)
    typed = {"base": base, "kind": "room", "words": "Louder."}
    answer = tech.post(address, typed)
    assert answer.status_code == 409
    assert "Someone else changed this unit meanwhile" in answer.content.decode()
    assert Control.objects.get(pk=world.control.pk).setting == "1:00"
    again = answer.context["form"]["base"].value()
    assert tech.post(address, typed | {"base": again}).status_code == 302
    assert Control.objects.get(pk=world.control.pk).setting == "4:00"


def test_how_it_did_is_found_when_it_turns_up_again(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    crew = as_user(world.people[Role.CREW])
    did = at(shows[0], "substitute_did", came.pk)
    assert crew.post(did, {"fared": "not", "fared_words": "No low end."}).status_code == 302
    tech.post(at(shows[0], "unit_as_documented", world.unit.pk))
    form = tech.get(at(shows[2], "unit_replaced_tonight", world.unit.pk)).content.decode()
    assert "did not do" in form
    assert "No low end." in form
    again = tech.get(
        at(shows[2], "unit_replaced_tonight", world.unit.pk) + f"?like={came.pk}"
    ).context["form"]
    assert [line.name.value() for line in again.lines][:2] == ["Drive", "Bass"]
    search = reverse("core:search", args=[world.production.pk])
    assert "No low end" in tech.get(search, {"q": "Brack"}).content.decode()


def test_two_people_at_one_unit(world: World, shows: list[Show], came: UnitAtShow) -> None:
    engineer = as_user(world.engineer)
    address = at(shows[0], "unit_replaced_tonight", world.unit.pk)
    answer = engineer.post(address, hired(**{"model": "Two", "v-1": "9:00", "seen": "0"}))
    assert answer.status_code == 200
    form = answer.context["form"]
    # Only what both set, and set otherwise.
    told = [(each.label, each.typed, each.now) for each in form.panels]
    assert told == [
        ("Model, in your words", "Two", "Four Hundred"),
        ("Bass", "9:00, dial, read as a clock", "11:00, dial, read as a clock"),
    ]
    assert UnitAtShow.objects.get().model == "Four Hundred"
    page = Page(engineer, address, answer)
    unchosen = page.send()
    assert unchosen.response.status_code == 200
    assert "Choose which of the two stays" in unchosen.html
    assert unchosen.send(**{"choice-0": "typed", "choice-1": "now"}).response.status_code == 302
    now = UnitAtShow.objects.get(withdrawn_at=None)
    assert now.model == "Two"
    assert [c.setting for c in now.controls.all()][:2] == ["2:30", "11:00"]
    # What the other tried is remembered.
    assert UnitAtShow.objects.exclude(withdrawn_at=None).get().model == "Four Hundred"


def test_what_two_people_set_of_one_unit_is_brought_together(
    world: World, tech: Client, shows: list[Show]
) -> None:
    address = at(shows[0], "unit_set_tonight", world.unit.pk)
    field = f"c-{world.control.pk}"
    first, second = Page(as_user(world.engineer), address), Page(tech, address)
    assert first.send(**{field: "4:00"}).response.status_code == 302
    # Another field of it is nobody's question.
    assert second.send(stage_position="Left riser").response.status_code == 302
    row = UnitAtShow.objects.get(withdrawn_at=None)
    assert row.stage_position == "Left riser"
    assert [c.setting for c in row.controls.all()] == ["4:00"]
    # A third one, on the page of before, sets the same control.
    asked = Page(tech, address)
    first = Page(as_user(world.engineer), address)
    assert first.send(**{field: "5:00"}).response.status_code == 302
    asked = asked.send(**{field: "9:00"})
    assert [(p.typed, p.now) for p in asked.response.context["form"].panels] == [("9:00", "5:00")]
    assert asked.send(**{"choice-0": "typed"}).response.status_code == 302
    held = UnitAtShow.objects.get(withdrawn_at=None)
    assert [c.setting for c in held.controls.all()] == ["9:00"]


def test_one_show_can_be_as_documented_and_as_the_leg_has_it_again(
    world: World, tech: Client, shows: list[Show]
) -> None:
    field = f"c-{world.control.pk}"
    typed = {field: "4:00", "lasts": "leg", "seen": "0"}
    tech.post(at(shows[0], "unit_set_tonight", world.unit.pk), typed)
    undo = at(shows[1], "unit_as_documented", world.unit.pk)
    assert "As documented, this show only" in tech.get(at(shows[1], "show_gear")).content.decode()
    tech.post(undo, {"lasts": "show"})
    assert [_gain(tech, show, world) for show in shows] == ["4:00", "2:30", "4:00"]
    assert "not as the leg has it" in tech.get(at(shows[1], "show_gear")).content.decode()
    tech.post(undo, {"as_leg": "1"})
    assert [_gain(tech, show, world) for show in shows] == ["4:00", "4:00", "4:00"]
    # Where the leg begins, one show does not end it.
    crew = as_user(world.people[Role.CREW])
    crew.post(at(shows[0], "unit_as_documented", world.unit.pk))
    assert [_gain(tech, show, world) for show in shows] == ["2:30", "4:00", "4:00"]


def test_what_came_stands_on_the_pack_list_of_the_show(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    lines = {
        line.what: line
        for section in pack_of_show(shows[0])
        if section.key == "units"
        for line in section.lines
    }
    hired_line, ours = lines["Brack Four Hundred"], lines["Tarn"]
    assert (hired_line.count, hired_line.hired, hired_line.to_load) == (1, 1, 0)
    assert hired_line.remarks == "Instead of Tarn. From Kestrel Hire."
    assert (ours.to_load, ours.remarks) == (ours.count - 1, "Brack Four Hundred instead.")
    page = tech.get(at(shows[0], "show_pack")).content.decode()
    assert "Instead of Tarn. From Kestrel Hire." in page
    assert "Brack" not in tech.get(at(shows[1], "show_pack")).content.decode()


def test_who_said_what_is_told(
    world: World, tech: Client, shows: list[Show], came: UnitAtShow
) -> None:
    page = tech.get(at(shows[0], "show_gear_history")).content.decode()
    assert "another unit: Brack Four Hundred from Kestrel Hire; Drive 2:30" in page
    assert str(world.tech.name) in page
    with pytest.raises(Exception, match=r"append|history|change"):
        UnitAtShowChange.objects.update(words=[])


def test_a_dial_that_can_be_read_both_ways_is_asked_about(
    world: World, tech: Client, shows: list[Show]
) -> None:
    lines = {f"v-{n}": "10" for n in range(6)}
    answer = tech.post(at(shows[0], "unit_replaced_tonight", world.unit.pk), hired(**lines))
    form = answer.context["form"]
    assert [each.words for each in form.question.answers] == ["10 of 10", "10 o’clock"]
    assert list(form.errors) == ["dials"]
    assert form["model"].value() == "Four Hundred"
    assert not UnitAtShow.objects.exists()
    lines["dials"] = "numbers"
    tech.post(at(shows[0], "unit_replaced_tonight", world.unit.pk), hired(**lines))
    assert {(c.style, c.setting) for c in UnitAtShow.objects.get().controls.all()} == {
        ("dial", "10")
    }


def test_controls_of_what_came_have_ends_choices_and_units_of_their_own(
    world: World, tech: Client, shows: list[Show]
) -> None:
    address = at(shows[0], "unit_replaced_tonight", world.unit.pk)
    kinds = {
        "s-0": "dial",
        "o-0": "1 to 12",
        "v-0": "13",
        "s-1": "choice",
        "o-1": "clean, crunch, lead",
        "v-1": "crunch",
        "s-2": "value",
        "o-2": "dB",
        "v-2": "-6",
        "s-3": "dial",
        "o-3": "loud",
        "v-3": "3",
    }
    refused = tech.post(address, hired(**kinds)).context["form"]
    assert set(refused.errors) == {"v-0", "o-3"}
    assert tech.post(address, hired(**kinds | {"v-0": "11", "o-3": "0 to 5"})).status_code == 302
    drive, bass, mid, treble, *_ = UnitAtShow.objects.get().controls.all()
    assert (drive.style, drive.low, drive.high, drive.setting) == ("dial", 1, 12, "11")
    assert (bass.choices, bass.setting) == ("clean, crunch, lead", "crunch")
    assert (mid.symbol, mid.setting) == ("dB", "-6")
    assert (treble.low, treble.high) == (0, 5)
    again = tech.get(address).context["form"].lines[0]
    assert (again.style.value(), again.offers.value()) == ("dial", "1 to 12")


def test_crew_speaks_for_one_show_and_not_for_the_leg(world: World, shows: list[Show]) -> None:
    crew = as_user(world.people[Role.CREW])
    address = at(shows[0], "unit_set_tonight", world.unit.pk)
    field = f"c-{world.control.pk}"
    refused = crew.post(address, {field: "4:00", "lasts": "leg", "seen": "0"})
    assert "lasts" in refused.context["form"].errors
    assert crew.post(address, {field: "4:00", "lasts": "show", "seen": "0"}).status_code == 302
    assert crew.get(at(shows[0], "show_gear_carry")).status_code == 403
    player = as_user(world.people[Role.PLAYER])
    assert player.post(address, {field: "5:00", "lasts": "show"}).status_code == 403


def test_queries_do_not_grow(
    world: World,
    tech: Client,
    shows: list[Show],
    came: UnitAtShow,
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def counted() -> list[int]:
        counts = []
        for address in (at(shows[0], "show_gear"), at(shows[0], "rig_tonight", world.rig.pk)):
            tech.get(address)
            with CaptureQueriesContext(
                connection,
            ) as queries:
                tech.get(address)
            counts.append(len(queries))
        return counts

    few = counted()
    for n in range(6):
        unit, control = str(uuid4()), str(uuid4())
        world.record(
            Add(unit, "unit", {"name": f"Pedal {n}", "gear": "other"}),
            Add(control, "control", {"unit": unit, "name": "Mix", "setting": "2:30"}),
        )
        typed = {f"c-{control}": "4:00", "lasts": "show", "seen": "0"}
        assert tech.post(at(shows[0], "unit_set_tonight", unit), typed).status_code == 302
    assert counted() == few
