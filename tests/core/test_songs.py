"""The set: songs and their sections."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from core.models import Section, Song
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world

TYPED = {
    "title": "Lantern at Ulmsey",
    "tempo_bpm": "92.5",
    "reference": "Second record, 0:40",
    "notes": "Brushes.",
}


def make_song(world: World, title: str = "Early Bus", position: int = 1) -> Song:
    return Song.objects.create(production=world.production, title=title, position=position)


@pytest.fixture
def song(world: World) -> Song:
    return make_song(world)


def test_a_new_song_comes_last(world: World, song: Song) -> None:
    response = as_user(world.tech).post(at(world, "core:song_new"), TYPED, follow=True)
    made = Song.objects.get(title="Lantern at Ulmsey")
    assert says(response) == ["“Lantern at Ulmsey” is saved."]
    assert response.redirect_chain == [(made.get_absolute_url(), 302)]
    assert (made.tempo_bpm, made.position) == (Decimal("92.5"), 2)
    page = response.content.decode()
    assert "92.5" in page
    assert "Second record, 0:40" in page


@pytest.mark.parametrize(
    ("tempo", "error"),
    [
        ("fast", "Enter a number."),
        ("10", "Ensure this value is greater than or equal to 20."),
        ("401", "Ensure this value is less than or equal to 400."),
    ],
)
def test_a_wrong_tempo(world: World, tempo: str, error: str) -> None:
    response = as_user(world.tech).post(at(world, "core:song_new"), {**TYPED, "tempo_bpm": tempo})
    assert response.context["form"].errors == {"tempo_bpm": [error]}
    assert 'value="Lantern at Ulmsey"' in response.content.decode()


def test_in_the_order_of_the_set(world: World, song: Song) -> None:
    make_song(world, "Another", 3)
    make_song(world, "Zarrenlight", 2)
    found = as_user(world.tech).get(at(world, "core:songs")).context["songs"]
    assert [song.title for song in found] == ["Early Bus", "Zarrenlight", "Another"]


def test_edit_retire_and_bring_back(world: World, song: Song) -> None:
    client = as_user(world.tech)
    client.post(at(world, "core:song_edit", song.pk), {**TYPED, "version": 1})
    client.post(at(world, "core:song_retire", song.pk))
    context = client.get(at(world, "core:songs")).context
    assert (context["songs"], context["retired"]) == ([], [song])
    assert "retired" in client.get(song.get_absolute_url()).content.decode()
    client.post(at(world, "core:song_retire", song.pk), {"back": "1"})
    assert [s.title for s in client.get(at(world, "core:songs")).context["songs"]] == [
        "Lantern at Ulmsey"
    ]


def test_sections(world: World, song: Song) -> None:
    client = as_user(world.tech)
    for name in ("Verse", "Bridge"):
        client.post(at(world, "core:section_new", song.pk), {"name": name})
    bridge = song.sections.get(name="Bridge")
    client.post(at(world, "core:section_edit", bridge.pk), {"name": "Solo", "version": 1})
    assert [s.name for s in song.sections.all()] == ["Verse", "Solo"]
    client.post(at(world, "core:section_retire", bridge.pk))
    context = client.get(song.get_absolute_url()).context
    assert ([s.name for s in context["sections"]], context["retired"]) == (["Verse"], [bridge])


def test_a_section_needs_a_name(world: World, song: Song) -> None:
    response = as_user(world.tech).post(at(world, "core:section_new", song.pk), {"name": ""})
    assert response.context["form"].errors == {"name": ["This field is required."]}
    assert not Section.objects.exists()


def test_who_may(world: World, song: Song) -> None:
    section = Section.objects.create(song=song, name="Verse")
    urls = [
        at(world, "core:song_new"),
        at(world, "core:songs_order"),
        *(at(world, f"core:song_{what}", song.pk) for what in ("edit", "retire")),
        *(at(world, f"core:section_{what}", section.pk) for what in ("edit", "retire")),
        at(world, "core:section_new", song.pk),
        at(world, "core:sections_order", song.pk),
    ]
    for url in urls:
        assert as_user(world.people["crew"]).post(url, TYPED).status_code == 403
        assert as_user(world.outsider).post(url, TYPED).status_code == 404
    page = as_user(world.people["crew"]).get(song.get_absolute_url()).content.decode()
    assert "Verse" in page
    assert not any(url in page for url in urls)


def test_songs_of_others_are_not_there(world: World) -> None:
    foreign = make_song(make_world("Elsewhere"))
    section = Section.objects.create(song=foreign, name="Verse")
    client = as_user(world.tech)
    for pk in (foreign.pk, uuid4()):
        for name in ("core:song", "core:song_edit", "core:section_new"):
            assert client.get(at(world, name, pk)).status_code == 404
    assert client.get(at(world, "core:section_edit", section.pk)).status_code == 404
    assert client.post(at(world, "core:section_retire", section.pk)).status_code == 404


def test_no_song_yet(world: World) -> None:
    url = at(world, "core:songs")
    assert "Add the songs" in as_user(world.engineer).get(url).content.decode()
    assert "Add the songs" not in as_user(world.people["crew"]).get(url).content.decode()


@pytest.mark.parametrize("more", [1, 20])
def test_queries_do_not_grow(world: World, more: int, django_assert_num_queries: Any) -> None:
    for number in range(more):
        song = make_song(world, str(number), number)
        Section.objects.create(song=song, name="Verse")
    client = as_user(world.engineer)
    with django_assert_num_queries(10):  # with what must happen between songs
        client.get(at(world, "core:songs"))
    with django_assert_num_queries(9):  # with research, and what it changes on every rig
        client.get(song.get_absolute_url())
