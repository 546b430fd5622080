"""What a device is told to keep with a handover: all of it can be fetched, by whoever is told."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from core.clock import now
from core.models import Leg, Player, Show, User
from notes.models import Note
from rigs.changes.edits import Add, Set
from rigs.models import Photo
from rigs.overview.parts import addresses
from rigs.photos.services import add_photos
from tests.support.everything import fill, picture
from tests.support.pages import as_user, at, queries_of
from tests.support.world import HIRE, World, input_fields, make_rig


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    return world


def address(world: World) -> str:
    return at(world, "notes:handover_keep", Leg.objects.get().pk)


def kept_for(world: World, user: User) -> dict[str, Any]:
    found: dict[str, Any] = as_user(user).get(address(world)).json()
    return found


@pytest.mark.parametrize("role", ["engineer", "tech", "player", "crew", "manager"])
def test_everything_named_is_there_for_whoever_it_is_named_to(full: World, role: str) -> None:
    user = full.people[role]
    found = kept_for(full, user)
    assert found["user"] == str(user.pk)
    assert found["production"]["id"] == str(full.production.pk)
    client = as_user(user)
    wanted = [found["page"], *found["pages"], *found["files"]]
    assert {client.get(url).status_code for url in wanted} == {200}
    assert len(set(wanted)) == len(wanted)


def test_forms_are_kept_for_those_who_may_send_them(full: World) -> None:
    form = at(full, "notes:note_new", full.rig.pk)
    assert form in kept_for(full, full.people["player"])["pages"]
    assert form not in kept_for(full, full.people["crew"])["pages"]


def test_pages_of_labels_and_lists_are_kept_for_those_who_set_up_and_pack(full: World) -> None:
    unit, upkeep = at(full, "rigs:unit", full.rig.pk, full.unit.pk), at(full, "rigs:upkeep")
    lists = {at(full, "rigs:input_list"), at(full, "rigs:pack_list")}
    wanted = {
        "engineer": lists | {unit, upkeep},
        "tech": lists | {unit, upkeep},
        "crew": lists | {unit},
        "manager": lists,
        "player": set(),
    }
    for role, pages in wanted.items():
        kept = set(kept_for(full, full.people[role])["pages"])
        assert kept & (lists | {unit, upkeep}) == pages, role


def test_the_page_that_the_label_of_a_case_leads_to_is_kept(full: World) -> None:
    full.record(Set(str(full.unit.pk), "unit", {"packed_in": "Case 3, bass"}))
    case = f"{at(full, 'rigs:case')}?name=Case+3%2C+bass"
    assert case in kept_for(full, full.tech)["pages"]
    assert case not in kept_for(full, full.people["player"])["pages"]
    response = as_user(full.tech).get(case)
    assert response.status_code == 200
    labels = as_user(full.tech).get(at(full, "rigs:labels"))
    assert labels.status_code == 200


def test_everything_that_is_kept_of_a_show_is_led_to_and_the_size_is_stated(full: World) -> None:
    old = Show.objects.get()
    coming = Show.objects.create(leg=old.leg, held_on=now().date() + timedelta(3), room="Hall")
    Show.objects.filter(pk=old.pk).update(held_on=now().date() - timedelta(9))
    found = kept_for(full, full.people["crew"])
    first = found["contents"][0]
    assert (first["title"], first["on"]) == (str(coming), coming.held_on.isoformat())
    assert [link["label"] for link in first["links"]] == [
        "Line check",
        "Monitor mixes",
        "Set",
        "Run sheet",
        "Changeover",
        "Who plays",
        "Gear",
        "Panels against photos",
        "Input list",
        "Pack list",
        "Patch",
        "Stage plot",
        "Mains",
    ]
    led_to = {link["url"] for group in found["contents"] for link in group["links"]}
    assert led_to <= {found["page"], *found["pages"]}
    for name in ("core:tour", "core:production"):
        assert at(full, name) in led_to
    assert at(full, "core:leg", old.leg.pk) in led_to
    assert 0 < found["budget"] <= 100_000_000


def test_run_sheets_of_the_next_shows_are_kept_for_everybody(full: World) -> None:
    old = Show.objects.get()
    coming = Show.objects.create(leg=old.leg, held_on=now().date() + timedelta(3), room="Hall")
    Show.objects.filter(pk=old.pk).update(held_on=now().date() - timedelta(9))
    sheet = at(full, "rigs:run_sheet")
    pages = kept_for(full, full.people["crew"])["pages"]
    assert [page for page in pages if page.startswith(sheet)] == [f"{sheet}?show={coming.pk}"]


def test_whole_photos_are_kept_and_put_away_rigs_are_not(full: World) -> None:
    photo = Photo.objects.get()
    file = at(full, "rigs:photo_file", full.rig.pk, photo.pk) + f"?v={photo.image_id}"
    rig = at(full, "rigs:rig", full.rig.pk)
    found = kept_for(full, full.people["crew"])
    assert file in found["files"]
    assert rig in found["pages"]
    assert set(addresses(full.production.pk, full.rig.pk).values()) <= set(found["pages"])
    # The address is the one at which the photo's own page shows it.
    page = at(full, "rigs:photo", full.rig.pk, photo.pk)
    assert page in found["pages"]
    assert f'src="{file}"' in as_user(full.tech).get(page).content.decode()
    full.record(Set(str(full.rig.pk), "rig", {"retired": True}))
    found = kept_for(full, full.people["crew"])
    assert (found["files"], rig in found["pages"]) == ([], False)


def test_a_change_that_wants_to_be_heard_again_is_kept_with_its_form(full: World) -> None:
    from notes.models import ReasonLink

    note = Note.objects.get()
    made = full.swap(full.other_mic, HIRE)
    assert made is not None
    ReasonLink.objects.create(note=note, revision=made)
    pages = kept_for(full, full.tech)["pages"]
    assert at(full, "notes:note_follow", note.pk, made.number) in pages


def test_the_number_of_queries_does_not_grow(full: World) -> None:
    client = as_user(full.tech)
    few = queries_of(client, address(full))
    for number in range(4):
        player = Player.objects.create(
            production=full.production, name=f"Player {number}", instrument="bass"
        )
        unit, entry = uuid4(), uuid4()
        parts = (
            Add(str(unit), "unit", {"name": "Head", "gear": "valve_head"}),
            Add(str(entry), "input", input_fields(unit, full.mic.pk)),
        )
        rig = make_rig(full.production, player, full.tech, f"Rig {number}", parts)
        add_photos(rig, [picture("teal")], about=None, caption="", author=full.tech)
        Note.objects.create(
            production=full.production,
            rig=rig,
            words="Dull.",
            verdict="adjust",
            written_by=full.tech,
        )
    assert queries_of(client, address(full)) == few
