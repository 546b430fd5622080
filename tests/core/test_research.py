"""What the record does: written beside a song, shown beside the words on how a rig should sound."""

from __future__ import annotations

import pytest

from core.models import Player, Research, Song
from core.services.research import for_player
from tests.support.pages import as_user, at, queries_of, says
from tests.support.world import World, make_world

TYPED = {
    "player": "",
    "release": "First album",
    "from_s": "0:40",
    "to_s": "1:10",
    "does": "Bass alone.",
    "take": "The bloom.",
    "version": 1,
}


@pytest.fixture
def song(world: World) -> Song:
    return Song.objects.create(production=world.production, title="Alder Ebb", position=1)


def test_write_it(world: World, song: Song) -> None:
    url = at(world, "core:research_new", song.pk)
    answer = as_user(world.engineer).post(
        url, TYPED | {"player": str(world.player.pk)}, follow=True
    )
    assert says(answer) == ["What the record does is saved."]
    found = Research.objects.get()
    assert (found.from_s, found.to_s, found.place) == (40, 70, "0:40 to 1:10")
    assert (found.written_by, found.player) == (world.engineer, world.player)
    text = answer.content.decode()
    for said in ("First album", "0:40 to 1:10", "Bass alone.", "The bloom.", "Ines Halloran"):
        assert said in text


def test_it_stands_on_the_players_rig_beside_how_it_should_sound(world: World, song: Song) -> None:
    other = Player.objects.create(production=world.production, name="Tove", instrument="organ")
    for player, take in ((world.player, "The bloom."), (None, "Room."), (other, "The breath.")):
        Research.objects.create(song=song, player=player, take=take, written_by=world.engineer)
    page = as_user(world.people["crew"]).get(world.rig.get_absolute_url()).content.decode()
    assert "The bloom." in page
    assert "Room." in page
    assert "The breath." not in page
    assert [each.take for each in for_player(other)] == ["Room.", "The breath."]


@pytest.mark.parametrize(
    ("typed", "where"),
    [({"from_s": "soon"}, "from_s"), ({"to_s": "0:10"}, "__all__"), ({"take": ""}, "take")],
)
def test_what_cannot_be(world: World, song: Song, typed: dict[str, str], where: str) -> None:
    url = at(world, "core:research_new", song.pk)
    answer = as_user(world.engineer).post(url, TYPED | typed)
    assert set(answer.context["form"].errors) == {where}
    assert "Bass alone." in answer.content.decode()
    assert not Research.objects.exists()


def test_only_players_of_the_production(world: World, song: Song) -> None:
    stranger = make_world("Another act").player
    url = at(world, "core:research_new", song.pk)
    answer = as_user(world.engineer).post(url, TYPED | {"player": str(stranger.pk)})
    assert set(answer.context["form"].errors) == {"player"}
    page = as_user(world.engineer).get(f"{url}?player={stranger.pk}").content.decode()
    assert "selected>Ines" not in page
    page = as_user(world.engineer).get(f"{url}?player={world.player.pk}").content.decode()
    assert f'value="{world.player.pk}" selected' in page


def test_edit_retire_and_bring_back(world: World, song: Song) -> None:
    entry = Research.objects.create(song=song, take="The bloom.", written_by=world.engineer)
    client = as_user(world.tech)
    url = at(world, "core:research_edit", entry.pk)
    client.post(url, TYPED | {"take": "Its length."})
    entry.refresh_from_db()
    assert (entry.take, entry.version) == ("Its length.", 2)
    stale = client.post(url, TYPED | {"take": "Mine", "from_s": "1:00", "to_s": "2:00"})
    assert "Now there: 0:40" in stale.content.decode()
    client.post(at(world, "core:research_retire", entry.pk))
    assert not for_player(world.player)
    assert "Retired (1)" in client.get(song.get_absolute_url()).content.decode()
    client.post(at(world, "core:research_retire", entry.pk), {"back": "1"})
    assert [each.take for each in for_player(world.player)] == ["Its length."]


@pytest.mark.parametrize("role", ["crew", "manager"])
def test_who_only_reads(world: World, song: Song, role: str) -> None:
    client = as_user(world.people[role])
    assert client.post(at(world, "core:research_new", song.pk), TYPED).status_code == 403
    assert "Add a place" not in client.get(song.get_absolute_url()).content.decode()


def test_of_another_production_there_is_none(world: World) -> None:
    other = make_world("Another act")
    song = Song.objects.create(production=other.production, title="Theirs")
    entry = Research.objects.create(song=song, take="Theirs.", written_by=other.engineer)
    client = as_user(world.engineer)
    for name, pk in (("research_new", song.pk), ("research_edit", entry.pk)):
        assert client.get(at(world, f"core:{name}", pk)).status_code == 404


def test_queries_do_not_grow(world: World, song: Song) -> None:
    client = as_user(world.tech)
    Research.objects.create(song=song, take="One.", written_by=world.engineer)
    few = [queries_of(client, url) for url in (song.get_absolute_url(), _rig(world))]
    for number in range(40):
        other = Song.objects.create(production=world.production, title=f"Song {number}")
        for found in (song, other):
            Research.objects.create(
                song=found, player=world.player, take="More.", written_by=world.engineer
            )
    assert [queries_of(client, url) for url in (song.get_absolute_url(), _rig(world))] == few


def _rig(world: World) -> str:
    return world.rig.get_absolute_url()
