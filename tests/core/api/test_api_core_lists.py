"""Productions, players, legs with shows, songs: who gets what."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from core.models import Leg, Membership, Player, Production, Research, Section, Show, Song
from core.models.roles import Role
from tests.support.api import api, ids
from tests.support.world import World

LISTS = ["players", "legs", "shows", "songs", "devices", "rigs"]


def fill(world: World, size: int) -> None:
    for number in range(size):
        Player.objects.create(production=world.production, name=f"P{number}", instrument="horn")
        leg = Leg.objects.create(
            production=world.production,
            name=f"L{number}",
            starts_on=date(2026, 9, 1),
            ends_on=date(2026, 9, 30),
        )
        Show.objects.create(leg=leg, held_on=date(2026, 9, 2), room="Hall", mix_distance_m="12.5")
        song = Song.objects.create(production=world.production, title=f"S{number}")
        Section.objects.create(song=song, name="Verse")


def address(world: World, name: str = "") -> str:
    return f"/api/v1/productions/{world.production.pk}/{name + '/' if name else ''}"


def test_one_sees_ones_own_productions_and_roles(world: World) -> None:
    other = Production.objects.create(name="Another act")
    Production.objects.create(name="Somebody else’s")
    Membership.objects.create(production=other, user=world.tech, role=Role.MANAGER)
    found = api(world.tech).get("/api/v1/productions/").json()["results"]
    assert [(row["name"], row["roles"]) for row in found] == [
        ("Another act", ["manager"]),
        ("The Long Quiet", ["tech"]),
    ]
    assert api(world.outsider).get("/api/v1/productions/").json()["results"] == []


def test_one_production(world: World) -> None:
    row = api(world.people[Role.CREW]).get(address(world)).json()
    assert (row["id"], row["name"]) == (str(world.production.pk), "The Long Quiet")
    assert row["roles"] == ["crew"]


@pytest.mark.parametrize("name", ["", *LISTS])
def test_an_outsider_learns_nothing(world: World, name: str) -> None:
    response = api(world.outsider).get(address(world, name))
    assert response.status_code == 404
    assert response.json() == {"code": "not_found", "detail": "No such production."}


@pytest.mark.parametrize("name", ["", *LISTS])
def test_without_a_key_one_is_asked_for_it(world: World, name: str) -> None:
    response = api(None).get(address(world, name))
    assert response.status_code == 401
    assert response.headers["WWW-Authenticate"] == "Token"
    assert response.json()["code"] == "not_authenticated"


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("name", LISTS)
def test_every_role_reads(world: World, name: str, role: str) -> None:
    assert api(world.people[role]).get(address(world, name)).status_code == 200


def test_a_leg_comes_with_its_shows(world: World) -> None:
    fill(world, 1)
    (leg,) = api(world.tech).get(address(world, "legs")).json()["results"]
    (show,) = leg["shows"]
    assert (leg["starts_on"], show["held_on"]) == ("2026-09-01", "2026-09-02")
    assert (show["mix_distance_m"], show["mix_distance_unit"]) == ("12.5", "m")


def test_a_song_comes_with_its_sections(world: World) -> None:
    fill(world, 1)
    (song,) = api(world.tech).get(address(world, "songs")).json()["results"]
    assert song["title"] == "S0"
    assert [section["name"] for section in song["sections"]] == ["Verse"]


def test_a_song_comes_with_its_times_and_what_the_record_does(world: World) -> None:
    fill(world, 1)
    song = Song.objects.get()
    Song.objects.update(length_s=245)
    Research.objects.create(
        song=song, player=world.player, from_s=40, take="The thump.", written_by=world.engineer
    )
    (shown,) = api(world.tech).get(address(world, "songs")).json()["results"]
    assert (shown["length_s"], shown["gap_s"]) == (245, None)
    (entry,) = shown["research"]
    assert (entry["player"], entry["from_s"], entry["to_s"], entry["take"]) == (
        str(world.player.pk),
        40,
        None,
        "The thump.",
    )


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("size", [1, 12])
def test_a_list_costs_the_same_whatever_its_length(
    world: World, django_assert_num_queries: Any, name: str, size: int
) -> None:
    fill(world, size)
    client = api(world.tech)
    # The key, the membership, the rows, and what hangs on them.
    with django_assert_num_queries({"legs": 4, "songs": 5}.get(name, 3)):
        assert client.get(address(world, name)).status_code == 200


def test_the_productions_cost_the_same_whatever_their_number(
    world: World, django_assert_num_queries: Any
) -> None:
    for number in range(9):
        place = Production.objects.create(name=f"Act {number}")
        Membership.objects.create(production=place, user=world.tech, role=Role.CREW)
    client = api(world.tech)
    with django_assert_num_queries(3):
        assert len(client.get("/api/v1/productions/").json()["results"]) == 10


def test_a_long_list_is_turned_page_by_page(world: World) -> None:
    fill(world, 7)
    client, seen = api(world.tech), []
    url = address(world, "players") + "?page_size=3"
    while url:
        page = client.get(url)
        seen += ids(page)
        url = page.json()["next"]
    assert len(seen) == len(set(seen)) == 8


@pytest.mark.parametrize("cursor", ["nonsense", "cD1ub3QrYStudW1iZXI%3D", "cD0lMDA%3D"])
def test_a_made_up_cursor_is_not_found(world: World, cursor: str) -> None:
    response = api(world.tech).get(address(world, "players") + f"?cursor={cursor}")
    assert response.status_code == 404
    assert response.json() == {"code": "not_found", "detail": "Invalid cursor"}


def test_lists_are_only_read(world: World) -> None:
    response = api(world.engineer).post(address(world, "players"), {"name": "X"})
    assert response.status_code == 405
    assert response.json()["code"] == "method_not_allowed"
