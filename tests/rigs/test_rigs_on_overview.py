"""Rigs on the overview of a production: the reader's own, with a picture of each."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from core import clock
from core.models import Leg, Player, Production, Show
from rigs.changes.edits import Retire, Set
from rigs.models import Photo, Rig
from rigs.overview.listing import covers
from rigs.photos.services import add_photos
from rigs.revisions.record import create, record
from tests.support.everything import picture
from tests.support.pages import as_user, at
from tests.support.world import World


def more(world: World, number: int) -> list[Rig]:
    made = []
    for each in range(number):
        player = Player.objects.create(
            production=world.production, name=f"Player {each:02}", instrument="voice", position=9
        )
        rig = Rig(production=world.production, player=player, name=f"Rig {each:02}")
        create(rig, author=world.tech)
        made.append(rig)
    return made


def front(world: World, user: Any) -> Any:
    response = as_user(user).get(at(world, "core:production"))
    assert response.status_code == 200
    [panel] = [each for each in response.context["panels"] if "overview/_front" in each.template]
    return response, panel.context


def test_a_player_sees_their_own(world: World) -> None:
    more(world, 3)
    _, shown = front(world, world.people["player"])
    assert (shown["rigs"], shown["is_own"], shown["total"]) == ([world.rig], True, 4)


def test_a_tech_sees_those_they_changed_the_last_one_first(world: World) -> None:
    first, second, _ = more(world, 3)
    now = clock.now()
    for minutes, rig in ((1, first), (2, second), (3, first)):
        rig.refresh_from_db()
        with clock.set_to(now + timedelta(minutes=minutes)):
            notes = Set(str(rig.pk), "rig", {"notes": f"{minutes}"})
            record(rig, [notes], author=world.engineer, base=rig.head_number)
    _, shown = front(world, world.engineer)
    assert shown["rigs"][:2] == [first, second]
    assert shown["is_own"]


def test_who_wrote_none_sees_the_first_six(world: World) -> None:
    more(world, 8)
    response, shown = front(world, world.people["crew"])
    assert (len(shown["rigs"]), shown["is_own"], shown["total"]) == (6, False, 9)
    assert "All 9 rigs" in response.content.decode()


def test_retired_rigs_and_those_of_others_are_not_there(world: World) -> None:
    [gone] = more(world, 1)
    record(gone, [Retire(str(gone.pk), "rig")], author=world.tech, base=gone.head_number)
    elsewhere = Production.objects.create(name="Elsewhere")
    player = Player.objects.create(production=elsewhere, name="Nel", instrument="voice")
    create(Rig(production=elsewhere, player=player, name="Theirs"), author=world.engineer)
    _, shown = front(world, world.engineer)
    assert shown["rigs"] == [world.rig]


def test_its_picture_is_of_the_whole_of_it_if_there_is_one(world: World) -> None:
    [bare] = more(world, 1)
    author = world.engineer

    def add(colour: str, about: Any) -> None:
        world.rig.refresh_from_db()
        add_photos(world.rig, [picture(colour)], about=about, caption=colour, author=author)

    add("maroon", world.unit.pk)
    assert covers([world.rig, bare])[world.rig.pk].caption == "maroon"
    add("navy", None)
    assert covers([world.rig, bare])[world.rig.pk].caption == "navy"
    world.rig.refresh_from_db()
    navy = Retire(str(Photo.objects.get(caption="navy").pk), "photo")
    record(world.rig, [navy], author=author, base=world.rig.head_number)
    found = covers([world.rig, bare])
    assert {pk: photo.caption for pk, photo in found.items()} == {world.rig.pk: "maroon"}
    response, _ = front(world, author)
    photo = Photo.objects.get(caption="maroon")
    url = at(world, "rigs:photo_file", world.rig.pk, photo.pk)
    assert f'src="{url}?size=thumb' in response.content.decode()
    assert as_user(author).get(f"{url}?size=thumb").status_code == 200


def test_queries_do_not_grow(world: World, django_assert_max_num_queries: Any) -> None:
    """With rigs, photos, changes, legs and shows."""
    today = clock.now().date()

    def leg() -> None:
        made = Leg.objects.create(
            production=world.production, name="Leg", starts_on=today, ends_on=today
        )
        for _ in range(3):
            Show.objects.create(leg=made, held_on=today, room="Room")

    def count() -> int:
        client = as_user(world.engineer)
        with django_assert_max_num_queries(60) as asked:
            client.get(at(world, "core:production"))
        return len(asked)

    add_photos(world.rig, [picture()], about=None, caption="", author=world.engineer)
    leg()
    more(world, 1)
    few = count()
    for rig in more(world, 8):
        add_photos(rig, [picture("navy")], about=None, caption="", author=world.engineer)
    leg()
    assert count() == few
