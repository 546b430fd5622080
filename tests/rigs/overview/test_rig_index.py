"""The list of rigs."""

from __future__ import annotations

import re
from typing import Any
from uuid import uuid4

import pytest

from core.models import Player
from core.places import Panel
from rigs.changes.edits import Add
from rigs.models import Photo
from rigs.overview.copy import copy_rig
from rigs.photos.services import add_photos
from rigs.places import RIG_ROWS
from tests.support.everything import picture
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World, make_rig


def test_rigs_stand_under_their_player_with_variant_and_counts(world: World) -> None:
    html = as_user(world.people["crew"]).get(at(world, "rigs:index")).content.decode()
    assert "Ines Halloran" in html
    assert "Main rig, 1 unit, 1 input" in html
    assert "Add a rig" not in html


def test_who_may_edit_is_offered_to_add_one(world: World) -> None:
    assert "Add a rig" in as_user(world.tech).get(at(world, "rigs:index")).content.decode()


def test_retired_rigs_stand_apart(world: World) -> None:
    as_user(world.tech).post(at(world, "rigs:retire", world.rig.pk), {"base": "1"})
    response = as_user(world.tech).get(at(world, "rigs:index"))
    assert response.context["rigs"] == []
    assert response.context["retired"] == [world.rig]
    assert "No rig yet" in response.content.decode()


def test_downstream_is_asked_once_for_all_rows(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []

    def provider(request: Any, rigs: Any) -> Panel | None:
        asked.append(rigs)
        return None

    monkeypatch.setattr(RIG_ROWS, "providers", [provider])
    make_rig(world.production, world.player, world.tech, "Second")
    as_user(world.tech).get(at(world, "rigs:index"))
    assert [[str(rig) for rig in rigs] for rigs in asked] == [["Bass main", "Second"]]


def test_an_outsider_finds_nothing(world: World) -> None:
    assert as_user(world.outsider).get(at(world, "rigs:index")).status_code == 404


def test_the_queries_do_not_grow_with_the_rigs(world: World) -> None:
    client, url = as_user(world.tech), at(world, "rigs:index")
    add_photos(world.rig, [picture()], about=None, caption="", author=world.tech)
    client.get(url)
    one = queries_of(client, url)
    for number in range(9):
        player = Player.objects.create(production=world.production, name=f"P{number}")
        rig = make_rig(world.production, player, world.tech, f"Rig {number}")
        add_photos(rig, [picture()], about=None, caption="", author=world.tech)
    assert queries_of(client, url) == one
    for number in range(90):
        make_rig(world.production, world.player, world.tech, f"More {number}")
    assert queries_of(client, url) == one


def test_the_main_rig_stands_before_the_others(world: World) -> None:
    copy_rig(rig=world.rig, name="A fly", variant="fly", player=world.player, author=world.tech)
    response = as_user(world.tech).get(at(world, "rigs:index"))
    assert [str(rig) for rig in response.context["rigs"]] == ["Bass main", "A fly"]


def test_a_card_shows_the_picture_and_names_what_is_in_the_rig(world: World) -> None:
    units = [
        Add(str(uuid4()), "unit", {"name": f"Unit {n}", "gear": "pedal", "position": n})
        for n in range(6)
    ]
    rig = make_rig(world.production, world.player, world.tech, "Board", tuple(units))
    add_photos(rig, [picture()], about=None, caption="", author=world.tech)
    html = as_user(world.tech).get(at(world, "rigs:index")).content.decode()
    file_url = at(world, "rigs:photo_file", rig.pk, Photo.objects.get().pk)
    shown = re.search(rf'<img[^>]+src="{file_url}[^>]+>', html)
    assert shown is not None
    for attribute in ('alt=""', 'width="480"', 'height="360"', 'loading="lazy"', "size=thumb"):
        assert attribute in shown[0]
    assert "Unit 0, Unit 1, Unit 2, Unit 3 and 2 more" in " ".join(html.split())


def test_a_rig_without_photo_or_unit_has_a_card(world: World) -> None:
    make_rig(world.production, world.player, world.tech, "Bare")
    html = as_user(world.tech).get(at(world, "rigs:index")).content.decode()
    assert html.count("rig-cover is-empty") == 2
    assert "0 units, 0 inputs" in html
