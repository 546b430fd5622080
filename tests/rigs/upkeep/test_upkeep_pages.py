"""What wears on a unit: put on file, noted as done, taken back; what is due before which show."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from core import clock
from core.access.loaders import load_member
from core.models import Leg, Show
from rigs.changes.edits import Add
from rigs.models import Revision, Spare, UpkeepEntry
from rigs.upkeep.services import note_done
from rigs.upkeep.to_dos import upkeep
from tests.support.pages import as_user, queries_of, says
from tests.support.pages import at as at_production
from tests.support.rig_pages import Page, at
from tests.support.world import World

NOW = datetime(2026, 9, 15, 12, tzinfo=ZoneInfo("UTC"))


@pytest.fixture
def shows(world: World) -> list[Show]:
    leg = Leg.objects.create(
        production=world.production,
        name="Autumn rooms",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 30),
    )
    return [
        Show.objects.create(leg=leg, held_on=date(2026, 9, day), room=f"Room {day}")
        for day in (14, 18, 26)
    ]


def strings(world: World, **more: object) -> Spare:
    part = str(uuid4())
    fields = {
        "unit": str(world.unit.pk),
        "sort": "string_set",
        "what": "flat-wound",
        "gauges": "45-65-80-100",
        "carried": 2,
        "every": 1,
        "per": "shows",
        **more,
    }
    world.record(Add(part, "spare", fields))
    return Spare.objects.get(pk=part)


def test_it_is_typed_checked_and_shown(world: World) -> None:
    form = Page(as_user(world.tech), at(world, "spare_new", world.unit))
    wrong = form.send(sort="string_set", what="flat-wound", gauges="light", every="4")
    assert "“light” is no gauge" in wrong.html
    assert "Say whether these are shows or days" in wrong.html
    done = form.send(
        sort="string_set",
        what="flat-wound",
        gauges="45-65-80-100",
        every="4",
        per="shows",
        carried="2",
    )
    assert done.status == 302
    unit = Page(as_user(world.tech), at(world, "unit", world.unit))
    assert "String set: flat-wound" in unit.html
    assert "Changed every 4 shows; never noted" in unit.html or "never noted" in unit.html
    assert Spare.objects.get().gauges == "45 65 80 100"


def test_one_tap_notes_it_and_the_next_show_moves(world: World, shows: list[Show]) -> None:
    spare, tech = strings(world), as_user(world.tech)
    with clock.set_to(NOW - timedelta(days=1)):
        note_done(spare=spare, by=world.tech)
    page, done = at_production(world, "rigs:upkeep"), at(world, "spare_done", spare)
    with clock.set_to(NOW):
        assert "Due before 18 Sep 2026 · Room 18" in tech.get(page).content.decode()
    with clock.set_to(NOW + timedelta(days=3)):
        response = tech.post(done, {"back": page}, follow=True)
        assert says(response) == ["Noted: string set: flat-wound was changed on 18 Sep."]
        text = response.content.decode()
    assert "Next before 26 Sep 2026 · Room 26" in text
    assert UpkeepEntry.objects.filter(show=shows[1]).count() == 1
    assert Revision.objects.count() == 2  # a new set of strings is no change of the sound's record


def test_a_second_tap_writes_nothing(world: World) -> None:
    spare, tech = strings(world), as_user(world.tech)
    for _ in range(2):
        tech.post(at(world, "spare_done", spare))
    assert UpkeepEntry.objects.count() == 1


def test_the_button_leads_nowhere_else(world: World) -> None:
    spare, tech = strings(world), as_user(world.tech)
    for elsewhere in ("https://elsewhere.example/", "//elsewhere.example/"):
        response = tech.post(at(world, "spare_done", spare), {"back": elsewhere})
        assert response.headers["Location"] == at(world, "spare", spare)


def test_a_slip_of_the_thumb_is_taken_back_and_stays_to_be_read(world: World) -> None:
    spare, tech = strings(world), as_user(world.tech)
    entry = note_done(spare=spare, by=world.tech)
    undo = at(world, "spare_undo", spare, entry)
    tech.post(undo)
    page = Page(tech, at(world, "spare", spare)).html
    assert "Taken back by" in page
    assert "never noted, so nobody knows" in page.lower()
    assert says(tech.post(undo, follow=True))[-1] == "That has been taken back already."
    assert UpkeepEntry.objects.count() == 2


def test_a_day_to_come_and_a_show_before_it_are_refused(world: World, shows: list[Show]) -> None:
    spare, tech = strings(world), as_user(world.tech)
    with clock.set_to(NOW):
        form = Page(tech, at(world, "spare", spare))
        assert "still to come" in form.send(done_on="2026-09-16").html
        late = form.send(done_on="2026-09-15", show=str(shows[0].pk))
        assert "That show was over by then" in late.html
    assert not UpkeepEntry.objects.exists()


def test_the_log_is_written_once(world: World) -> None:
    entry = note_done(spare=strings(world), by=world.tech)
    with pytest.raises(IntegrityError), transaction.atomic():
        UpkeepEntry.objects.filter(pk=entry.pk).update(words="never")
    with pytest.raises(IntegrityError), transaction.atomic():
        entry.delete()


def test_who_only_reads_has_no_button_and_is_refused(world: World) -> None:
    spare, crew = strings(world), as_user(world.people["crew"])
    assert "Done today" not in crew.get(at_production(world, "rigs:upkeep")).content.decode()
    assert crew.post(at(world, "spare_done", spare)).status_code == 403


def test_a_spare_goes_and_comes_back_with_its_unit_and_keeps_its_log(world: World) -> None:
    spare, tech = strings(world), as_user(world.tech)
    note_done(spare=spare, by=world.tech)
    cabinet = str(uuid4())
    world.record(Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet"}))
    felt = strings(world, unit=cabinet, sort="pad", what="felt feet", gauges="")
    retire = at(world, "unit_retire", UUID(cabinet))
    assert Page(tech, retire).send().status == 302
    felt.refresh_from_db()
    assert felt.retired
    tech.post(retire, {"back": "yes"})
    felt.refresh_from_db()
    assert not felt.retired
    assert spare.entries.count() == 1


def test_a_copied_unit_takes_its_spares_along_but_not_the_log(world: World) -> None:
    note_done(spare=strings(world), by=world.tech)
    Page(as_user(world.tech), at(world, "unit_copy", world.unit)).send(name="Second head")
    copied = Spare.objects.get(unit__name="Second head")
    assert (copied.gauges, copied.entries.count()) == ("45 65 80 100", 0)


def test_the_leg_says_what_is_due_before_which_show(world: World, shows: list[Show]) -> None:
    strings(world, what="every night")
    slow = strings(world, what="every other", every=2)
    for spare in Spare.objects.all():
        note_done(spare=spare, by=world.tech, done_on=date(2026, 9, 14))
    with clock.set_to(NOW):
        leg = at_production(world, "core:leg", shows[0].leg_id)
        page = as_user(world.tech).get(leg).content.decode()
    cards = page[page.index("show-cards") :].split('class="card show-card"')
    told = {
        name: card
        for card in cards
        for name in ("Room 14", "Room 18", "Room 26")
        if f">{name}</h3>" in card
    }
    assert "every night" in told["Room 18"]
    assert str(slow) not in told["Room 18"]
    assert str(slow) in told["Room 26"]
    assert "Upkeep" not in told["Room 14"]  # it is over


def test_it_waits_for_the_tech_and_not_for_the_crew(world: World, shows: list[Show]) -> None:
    note_done(spare=strings(world), by=world.tech, done_on=date(2026, 9, 14))
    place = world.production.pk
    with clock.set_to(NOW):
        found = upkeep(world.tech, [load_member(world.tech, place)])
        crew = world.people["crew"]
        assert upkeep(crew, [load_member(crew, place)]) == {}
    assert [to_do.words for to_do in found[place]] == [
        "1 thing is due before 18 Sep 2026 · Room 18"
    ]


def test_the_cautions_stand_where_they_are_needed(world: World) -> None:
    fuse = strings(world, sort="fuse", what="T 1 A 250 V", gauges="")
    page = Page(as_user(world.tech), at(world, "spare", fuse)).html
    assert "Same type and same rating only" in page
    assert "Time-lag, 1 A, 250 V" in page


@pytest.mark.parametrize("name", ["upkeep", "unit"])
def test_queries_do_not_grow(world: World, shows: list[Show], name: str) -> None:
    url = at_production(world, "rigs:upkeep") if name == "upkeep" else at(world, name, world.unit)
    tech = as_user(world.tech)
    note_done(spare=strings(world), by=world.tech)
    one = queries_of(tech, url)
    for n in range(12):
        note_done(spare=strings(world, what=f"set {n}"), by=world.tech)
    assert queries_of(tech, url) == one


def test_what_the_planned_shows_take_is_held_against_what_is_carried(
    world: World, shows: list[Show]
) -> None:
    # Two in use, for every show; after 14 September come the 18th and those that follow.
    spare = strings(world, in_use=2, carried=3)
    note_done(spare=spare, by=world.tech, done_on=date(2026, 9, 14))
    left = sum(show.held_on > date(2026, 9, 14) for show in shows)
    with clock.set_to(NOW):
        page = " ".join(Page(as_user(world.tech), at(world, "spare", spare)).html.split())
        due = as_user(world.tech).get(at_production(world, "rigs:upkeep")).content.decode()
    assert f"changed {left} times, {2 * left} needed" in page
    assert f"{2 * left - 3} too few" in page
    assert f"3 carried, {2 * left} needed for the shows that are planned" in due
