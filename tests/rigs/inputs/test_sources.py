"""Several sources of one input: chosen, merged, told, kept and carried."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from core.models import SearchEntry
from rigs.changes.edits import Add, Retire, Set
from rigs.changes.reasons import Reason, ReasonKind, ReasonRequired
from rigs.list_import.services import apply, import_list, preview
from rigs.lists.input_list import as_rows, inputs_of
from rigs.lists.paper import paper_rows
from rigs.lists.sheets import write_csv
from rigs.models import Group, Input, Member, Source, Unit
from rigs.overview.copy import copy_rig
from rigs.retire.services import bring_back, retire_edits
from rigs.revisions.read import as_of, live
from rigs.revisions.record import restore
from rigs.revisions.sources import chosen_add, heard_of
from rigs.revisions.verify import verify_rig
from rigs.search.index import catch_up, forget
from rigs.wording import describe, snapshot_view
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

WHY = {"reason_kind": "correction", "reason_words": "It never did."}
WRONG = Reason(ReasonKind.CORRECTION, "It never did.")


@pytest.fixture
def drums(world: World) -> dict[str, str]:
    """Three more units, and the first two of them as a group."""
    ids = {name: str(uuid4()) for name in ("Kick", "Snare", "Rack tom", "the kit")}
    adds = [Add(ids[n], "unit", {"name": n, "gear": "drum"}) for n in ("Kick", "Snare", "Rack tom")]
    group = Add(ids["the kit"], "group", {"name": "the kit"})
    inside = [chosen_add("member", ids["the kit"], ("unit", ids[n])) for n in ("Kick", "Snare")]
    world.record(*adds, group, *inside)
    return ids


def form(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "input_edit", world.input))


def heard(world: World) -> str:
    return heard_of(Input.objects.get(pk=world.input.pk)).words


def pick(world: World, kind: str, about: str, **more: Any) -> Any:
    return world.record(chosen_add("source", str(world.input.pk), (kind, about)), **more)


def test_units_and_a_group_are_ticked_and_everything_says_so(
    world: World, drums: dict[str, str]
) -> None:
    assert form(world).send(also=[drums["the kit"], drums["Rack tom"]]).status == 302
    assert heard(world) == "Head, Rack tom and the kit"
    page = Page(as_user(world.tech), at(world, "input", world.input)).html
    assert "the kit (Kick, Snare)" in " ".join(page.split())
    view = snapshot_view(world.rig, live(world.rig)).inputs[0]
    assert view.where.startswith("On Head, Rack tom and the kit, cone edge")
    assert len(view.units) == 4


def test_history_says_it_in_words(world: World, drums: dict[str, str]) -> None:
    made = [pick(world, "unit", drums["Rack tom"]), pick(world, "group", drums["the kit"])]
    edit = Retire(str(Source.objects.get(unit=drums["Rack tom"]).pk), "source")
    made.append(world.record(edit, reason=WRONG))
    rows = [row for each in made for row in each.changes.all()]
    assert [line.sentence for line in describe(world.rig, rows)] == [
        "7 Bass mic: also picks up Rack tom",
        "7 Bass mic: also picks up the kit",
        "7 Bass mic: no longer picks up Rack tom",
    ]


def test_two_people_who_add_different_ones_at_once_are_both_right(
    world: World, drums: dict[str, str]
) -> None:
    one, other = form(world), form(world)
    assert one.send(also=[drums["Kick"]]).status == 302
    assert other.send(also=[drums["Snare"]]).status == 302
    assert heard(world) == "Head, Kick and Snare"


def test_the_same_one_added_by_both_is_there_once(world: World, drums: dict[str, str]) -> None:
    one, other = form(world), form(world)
    for page in (one, other):
        assert page.send(also=[drums["Kick"]]).status == 302
    assert Source.objects.count() == 1


def test_what_one_takes_away_is_not_put_back_by_another_who_adds(
    world: World, drums: dict[str, str]
) -> None:
    pick(world, "unit", drums["Kick"])
    one, other = form(world), form(world)
    assert one.send(also=[], **WHY).status == 302
    assert other.send(also=[drums["Kick"], drums["Snare"]]).status == 302
    assert heard(world) == "Head and Snare"


def test_a_conflict_elsewhere_keeps_the_ticks_of_both(world: World, drums: dict[str, str]) -> None:
    page = form(world)
    world.record(Set(str(world.input.pk), "input", {"gain_db": "20"}))
    pick(world, "unit", drums["Kick"])
    back = page.send(gain_db="30", also=[drums["Snare"]])
    assert back.status == 409
    ticked = back.response.context["form"].initial["also"]
    assert set(ticked) == {drums["Kick"], drums["Snare"]}
    assert back.send(**{"choice-gain_db": "typed"}, also=ticked).status == 302
    assert heard(world) == "Head, Kick and Snare"


def test_taking_one_away_needs_a_reason_and_adding_one_none(
    world: World, drums: dict[str, str]
) -> None:
    assert form(world).send(also=[drums["Kick"]]).status == 302
    back = form(world).send(also=[])
    assert (back.status, "needs a reason" in back.html) == (200, True)
    assert back.send(**WHY).status == 302
    assert heard(world) == "Head"


def test_a_page_made_before_there_was_such_a_choice_takes_nothing_away(
    world: World, drums: dict[str, str]
) -> None:
    pick(world, "unit", drums["Kick"])
    page = form(world)
    page.sent.pop("ticks")
    page.sent.pop("also", None)
    assert page.send(notes="Taped.", **WHY).status == 302
    assert heard(world) == "Head and Kick"


def test_a_unit_leaves_its_group_with_a_reason_but_not_when_it_leaves_the_rig(
    world: World, drums: dict[str, str]
) -> None:
    member = Member.objects.get(unit=drums["Kick"])
    with pytest.raises(ReasonRequired):
        world.record(Retire(str(member.pk), "member"))
    kick = Unit.objects.get(pk=drums["Kick"])
    world.record(*retire_edits(kick))
    assert not Member.objects.live().filter(unit=kick).exists()
    world.rig.refresh_from_db()
    bring_back(rig=world.rig, part=Unit.objects.get(pk=kick.pk), author=world.tech)
    assert Member.objects.live().filter(unit=kick).exists()


@pytest.mark.parametrize("what", ["Kick", "the kit"])
def test_what_is_still_picked_up_is_not_retired(
    world: World, drums: dict[str, str], what: str
) -> None:
    kind = "group" if what == "the kit" else "unit"
    pick(world, kind, drums[what])
    part: Any = (Group if kind == "group" else Unit).objects.get(pk=drums[what])
    with pytest.raises(ValidationError, match="still heard by 7 Bass mic"):
        retire_edits(part)


def test_an_input_that_comes_back_picks_up_what_it_did(world: World, drums: dict[str, str]) -> None:
    pick(world, "group", drums["the kit"])
    world.record(*retire_edits(Input.objects.get(pk=world.input.pk)), reason=WRONG)
    assert not Source.objects.live().exists()
    world.rig.refresh_from_db()
    bring_back(rig=world.rig, part=Input.objects.get(pk=world.input.pk), author=world.tech)
    assert heard(world) == "Head and the kit"


def test_earlier_states_copies_and_restoring(world: World, drums: dict[str, str]) -> None:
    before = world.rig.head_number
    pick(world, "group", drums["the kit"])
    world.rig.refresh_from_db()
    then = snapshot_view(world.rig, as_of(world.rig, before)).inputs[0]
    assert then.heard == "Head"
    copied = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    assert snapshot_view(copied, live(copied)).inputs[0].heard == "Head and the kit"
    restore(world.rig, before, author=world.tech, reason=WRONG)
    assert heard(world) == "Head"
    world.rig.refresh_from_db()
    verify_rig(world.rig)


def test_a_source_is_a_unit_or_a_group_and_of_this_rig(world: World, drums: dict[str, str]) -> None:
    fields = {"input": str(world.input.pk)}
    for wrong in ({}, {"unit": drums["Kick"], "group": drums["the kit"]}, {"unit": str(uuid4())}):
        with pytest.raises(ValidationError):
            world.record(Add(str(uuid4()), "source", {**fields, **wrong}))


def brought(world: World, text: str | bytes) -> Any:
    data = text if isinstance(text, bytes) else text.encode()
    return import_list(production=world.production, by=world.tech, name="list.csv", data=data)


def test_our_own_list_comes_back_as_no_change(world: World, drums: dict[str, str]) -> None:
    world.record(Set(drums["Rack tom"], "unit", {"name": "Tom; rack"}))
    for kind, name in (("unit", "Rack tom"), ("group", "the kit")):
        pick(world, kind, drums[name])
    rows = as_rows(inputs_of(world.production))
    assert dict(zip(rows[0], rows[1], strict=True))["Picks up"] == "Head; Tom; rack; the kit"
    shown = preview(brought(world, write_csv(rows)))
    assert (len(shown.rows), shown.changing, shown.faulty) == (1, [], [])
    line = paper_rows(inputs_of(world.production))[1]
    assert any(cell.startswith("On Head, Tom; rack and the kit, cone edge") for cell in line)


def test_a_list_sets_what_inputs_pick_up(world: World, drums: dict[str, str]) -> None:
    text = (
        "Channel,Name,Player,Picks up\n"
        "7,Bass mic,Ines Halloran,head; SNARE; The Kit\n"
        "8,Room,Ines Halloran,the kit\n"
        "9,Odd,Ines Halloran,Gong\n"
    )
    found = brought(world, text)
    shown = preview(found)
    assert [row.errors for row in shown.faulty] == [
        {
            "sources": "No unit or group of units in “Bass main”, and no other player, is called "
            "“Gong”."
        }
    ]
    assert ("Picks up", "Head", "head; SNARE; The Kit") in shown.changing[0].changes
    apply(list_import=found, by=world.tech, reason=Reason())
    assert heard(world) == "Head, Snare and the kit"
    assert heard_of(Input.objects.get(name="Room")).words == "the kit"


def test_an_input_is_found_by_all_that_it_picks_up(world: World, drums: dict[str, str]) -> None:
    forget(world.production)
    catch_up(world.production)
    pick(world, "group", drums["the kit"])
    catch_up(world.production)
    entry = SearchEntry.objects.get(title__startswith="7 Bass mic")
    assert "Picks up Head, the kit, Kick, Snare" in entry.body


def test_a_group_is_named_changed_and_refuses_a_name_that_is_taken(
    world: World, drums: dict[str, str]
) -> None:
    page = Page(as_user(world.tech), at(world, "group_new"))
    back = page.send(name="The Kit", units=[drums["Kick"]])
    assert "called “The Kit” already" in back.html
    assert "Tick the units" in page.send(name="the brass").html
    assert back.send(name="the brass").status == 302
    group = Group.objects.get(name="the brass")
    edit = Page(as_user(world.tech), at(world, "group_edit", group))
    assert edit.send(units=[drums["Kick"], drums["Snare"]]).status == 302
    latest = world.rig.revisions.order_by("-number").first()
    assert latest is not None
    assert [line.sentence for line in describe(world.rig, latest.changes.all())] == [
        "the brass: now has Snare"
    ]
