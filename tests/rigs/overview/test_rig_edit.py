"""Put a rig on file, edit, copy, retire it."""

from __future__ import annotations

from uuid import uuid4

from core.models import Player
from rigs.changes.edits import Add, Set
from rigs.models import Control, Input, Link, Revision, Rig, Unit
from rigs.overview.copy import copy_rig
from rigs.revisions.read import live
from tests.support.pages import as_user
from tests.support.pages import at as page_at
from tests.support.rig_pages import Page, at
from tests.support.world import World, make_world


def new_page(world: World) -> Page:
    return Page(as_user(world.tech), page_at(world, "rigs:new"))


def test_a_rig_is_put_on_file(world: World) -> None:
    typed = {"player": str(world.player.pk), "name": "Acoustic", "sound": "Dry."}
    answer = new_page(world).send(**typed)
    rig = Rig.objects.get(name="Acoustic")
    assert answer.response.headers["Location"] == rig.get_absolute_url()
    assert (rig.head_number, rig.sound, rig.production) == (1, "Dry.", world.production)
    assert Revision.objects.get(rig=rig).author == world.tech


def test_a_rig_needs_a_name_and_a_player_of_this_production(world: World) -> None:
    foreign = make_world("Elsewhere").player
    again = new_page(world).send(player=str(foreign.pk), sound="Dry.")
    assert again.response.context["form"].errors == {
        "player": ["Select a valid choice. That choice is not one of the available choices."],
        "name": ["This field is required."],
    }
    assert again.sent["sound"] == "Dry."


def test_without_a_player_the_page_says_what_to_do(world: World) -> None:
    Player.objects.update(retired_at="2026-01-01T00:00:00Z")
    assert "Add the musicians first" in new_page(world).html


def test_a_rig_is_edited(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "edit"))
    assert page.send(sound="Warmer.").status == 302
    assert Rig.objects.get().sound == "Warmer."


def test_two_people_on_the_sound_are_asked(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "edit"))
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Theirs."}), author=world.engineer)
    back = page.send(sound="Mine.", notes="Spare fuse.")
    assert back.status == 409
    assert back.send(choice__sound="now").status == 302
    rig = Rig.objects.get()
    assert (rig.sound, rig.notes) == ("Theirs.", "Spare fuse.")


def test_a_rig_is_retired_and_comes_back(world: World) -> None:
    assert Page(as_user(world.tech), at(world, "retire")).send().status == 302
    assert Rig.objects.get().retired
    as_user(world.tech).post(at(world, "retire"), {"back": "1"})
    assert not Rig.objects.get().retired
    assert Revision.objects.count() == 3


def test_readers_may_not(world: World) -> None:
    for name in ("edit", "retire", "copy", "unit_new", "input_new", "link_new"):
        assert as_user(world.people["crew"]).get(at(world, name)).status_code == 403, name


def test_a_copy_has_everything_under_new_ids_and_says_where_from(world: World) -> None:
    cabinet = str(uuid4())
    world.record(
        Add(cabinet, "unit", {"name": "Cabinet", "gear": "cabinet"}),
        Add(str(uuid4()), "link", {"source": str(world.unit.pk), "target": cabinet}),
        Add(str(uuid4()), "fact", {"unit": cabinet, "key": "speaker_impedance", "value": "8"}),
    )
    page = Page(as_user(world.tech), at(world, "copy"))
    assert page.sent["variant"] == "fly"
    assert page.send(name="Bass fly").status == 302
    copy = Rig.objects.get(name="Bass fly")
    assert copy.notes == "Copied from “Bass main” as of change 2."
    assert Revision.objects.get(rig=copy).reason_words == copy.notes
    assert shape(copy) == shape(world.rig)
    assert not set(live(copy)) & set(live(world.rig))
    entry, unit = Input.objects.get(rig=copy), Unit.objects.get(rig=copy, name="Head")
    assert (entry.unit, entry.device) == (unit, world.mic)
    assert Control.objects.get(rig=copy).unit == unit
    assert Link.objects.get(rig=copy).target.rig == copy


def shape(rig: Rig) -> list[tuple[object, ...]]:
    """The parts without what must differ in a copy."""
    pointers = ("unit", "source", "target", "notes", "variant")
    return sorted(
        tuple(sorted((k, str(v)) for k, v in fields.items() if k not in pointers))
        for fields in live(rig).values()
        if fields["kind"] != "rig"
    )


def test_a_copy_goes_its_own_way(world: World) -> None:
    copy = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    world.turn("4:00")
    assert Control.objects.get(rig=copy).setting == "2:30"


def test_notes_that_fill_the_page_are_not_cut_for_the_origin(world: World) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"notes": "x" * 8000}))
    copy = copy_rig(
        rig=world.rig, name="Fly", variant="fly", player=world.player, author=world.tech
    )
    assert copy.notes == "x" * 8000
    assert "Copied from" in Revision.objects.get(rig=copy).reason_words
