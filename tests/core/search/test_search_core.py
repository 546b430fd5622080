"""What a search finds of songs, shows and people, as they are saved; who finds it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import Client

from core.models import IndexedProduction, Leg, Player, SearchEntry, Section, Show, Song
from core.models.roles import Role
from core.search.backend import search
from core.search.sources import reindex
from core.services.members import change_roles, remove_member
from tests.support.api import api
from tests.support.world import World

Kind = SearchEntry.Kind


def titles(world: World, text: str, kind: str | None = None) -> list[str]:
    hits = search(world.production, text, kind).hits
    return ["".join(piece.text for piece in hit.title) for hit in hits]


def a_leg(world: World, name: str = "Northern leg") -> Leg:
    day = date(2026, 3, 1)
    return Leg.objects.create(
        production=world.production, name=name, starts_on=day, ends_on=date(2026, 3, 30)
    )


def a_show(leg: Leg) -> Show:
    return Show.objects.create(
        leg=leg, held_on=date(2026, 3, 12), room="Kelp Hall", town="Ostermoor"
    )


def test_a_song_is_found_by_title_notes_and_sections(world: World) -> None:
    song = Song.objects.create(
        production=world.production, title="Quarry Lights", notes="Starts with the zither alone."
    )
    section = Section.objects.create(song=song, name="Breakdown")
    for text in ("quarry", "zither", "breakdown", "quarri", "zithar"):
        assert titles(world, text, Kind.SONG) == ["Quarry Lights"]
    section.retire()
    assert titles(world, "breakdown") == []
    song.title = "Harbour Lamps"
    song.save()
    assert titles(world, "quarry") == []
    song.retire()
    assert titles(world, "harbour") == ["Harbour Lamps (retired)"]


def test_a_show_is_found_by_room_town_month_and_leg(world: World) -> None:
    leg = a_leg(world)
    show = a_show(leg)
    for text in ("kelp", "ostermoor", "march", "northern kelp", "osternoor"):
        (hit,) = search(world.production, text, Kind.SHOW).hits
        assert hit.path == f"{leg.get_absolute_url()}#show-{show.pk}"
    leg.name = "Coast"
    leg.save()
    assert set(titles(world, "coast")) == {"Coast", "12 Mar 2026 · Kelp Hall"}
    assert titles(world, "northern") == []


def test_people_are_found_by_name_and_role_and_never_by_address(world: World) -> None:
    world.tech.name = "Orla Wrenfield"
    world.tech.save()
    assert titles(world, "wrenfield", Kind.PERSON) == ["Orla Wrenfield"]
    assert titles(world, "wremfield", Kind.PERSON) == ["Orla Wrenfield"]
    reindex(world.production)
    domain = world.tech.email.split("@")[1]
    for entry in SearchEntry.objects.all():
        assert domain not in entry.title + entry.body
        assert world.tech.email not in entry.title + entry.body
    assert titles(world, world.tech.email) == []


def test_who_has_left_is_not_found_and_who_changed_roles_is_found_by_the_new_one(
    world: World,
) -> None:
    crew = world.people[Role.CREW]
    assert str(crew) in titles(world, str(crew), Kind.PERSON)
    change_roles(production=world.production, user=crew, roles=[Role.TECH])
    tech = str(Role.TECH.label)
    assert str(crew) in titles(world, f"{crew} {tech}", Kind.PERSON)
    remove_member(production=world.production, user=crew)
    assert str(crew) not in titles(world, str(crew), Kind.PERSON)


def test_a_musician_is_found_by_instrument(world: World) -> None:
    Player.objects.create(production=world.production, name="Tove Ash", instrument="bassoon")
    assert titles(world, "basson") == ["Tove Ash"]


def test_logging_in_writes_nothing(world: World, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(1):
        world.tech.save(update_fields=["last_login"])


def test_what_was_not_written_is_not_found(world: World) -> None:
    with pytest.raises(RuntimeError), transaction.atomic():  # noqa: PT012
        Song.objects.create(production=world.production, title="Quarry Lights")
        raise RuntimeError
    assert titles(world, "quarry") == titles(world, "quarri") == []


def rows() -> list[tuple[Any, ...]]:
    found = SearchEntry.objects.order_by("kind", "subject")
    return list(found.values_list("kind", "subject", "title", "body", "path"))


def test_rebuilding_gives_what_keeping_up_gave(world: World) -> None:
    Section.objects.create(
        song=Song.objects.create(production=world.production, title="Quarry Lights"), name="Outro"
    )
    a_show(a_leg(world))
    search(world.production, "quarry")
    kept = rows()
    SearchEntry.objects.all().delete()
    call_command("reindex", verbosity=0)
    assert rows() == kept


def test_the_first_search_fills_what_an_earlier_release_did_not(world: World) -> None:
    Song.objects.create(production=world.production, title="Quarry Lights")
    SearchEntry.objects.all().delete()
    IndexedProduction.objects.all().delete()
    assert titles(world, "quarry") == ["Quarry Lights"]
    assert titles(world, str(world.tech), Kind.PERSON) != []


@pytest.mark.parametrize(
    "path", ["/p/{}/search/?q=quarry", "/api/v1/productions/{}/search/?q=quarry"]
)
def test_who_is_no_member_finds_nothing(client: Client, world: World, path: str) -> None:
    Song.objects.create(production=world.production, title="Quarry Lights")
    address = f"{path.format(world.production.pk)}?q=quarry"
    assert b"Quarry" not in client.get(address).content
    client.force_login(world.outsider)
    answer = client.get(address)
    assert answer.status_code == 404
    assert b"Quarry" not in answer.content


def test_the_api_finds_the_same_as_the_page(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Quarry Lights")
    address = f"/api/v1/productions/{world.production.pk}/search/"
    found = api(world.tech).get(address, {"q": "quarri", "kind": "song"}).json()
    assert (found["has_exact"], found["similar"], found["has_more"]) == (False, ["Quarry"], False)
    (hit,) = found["results"]
    assert (hit["kind"], hit["path"]) == ("song", song.get_absolute_url())
    assert hit["is_similar"] is True
    assert hit["title"] == [
        {"text": "Quarry", "is_hit": True},
        {"text": " Lights", "is_hit": False},
    ]


@pytest.mark.parametrize("asked", [{"q": "x", "kind": "nonsense"}, {"q": "x", "page": "0"}])
def test_the_api_says_what_is_wrong_with_a_question(world: World, asked: dict[str, str]) -> None:
    address = f"/api/v1/productions/{world.production.pk}/search/"
    assert api(world.tech).get(address, asked).status_code == 400
