"""Who plays at a show: guests only where ticked, and deps with what differs for them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from core.models import Leg, Player, Show
from core.models.roles import Role
from core.search.backend import search
from notes.handover.content import content_of
from notes.handover.state import find
from notes.monitors.services import create
from notes.monitors.state import MixState
from rigs.models import Rig, ShowDep
from rigs.patch.services import write_lines
from rigs.shows import players
from rigs.shows.players import (
    DepChanged,
    deps_at,
    set_dep,
    state_of_show,
    who_plays,
    who_plays_at,
)
from rigs.shows.rigs import choose, played_at
from rigs.shows.services import pack_of_show, rows_of
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.patch.stages import make_box
from tests.rigs.shows.shows import make_show
from tests.rigs.shows.test_show_rigs import make_variant
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def shows(world: World) -> list[Show]:
    """Three of one leg, on the 4th, 5th and 6th."""
    found = [make_show(world, room) for room in ("First", "Second", "Third")]
    for day, show in enumerate(found, start=4):
        show.held_on = date(2026, 9, day)
        show.save()
    return found


@pytest.fixture
def guest(world: World) -> Rig:
    player = Player.objects.create(
        production=world.production, name="Wanda Oake", instrument="fiddle", guest=True
    )
    return make_variant(world, player, "Fiddle", "main")


def dep(show: Show, player: Player, name: str, world: World, **more: Any) -> ShowDep | None:
    return set_dep(show, player, name=name, by=world.tech, **{"version": 0, **more})


def names(shows: list[Show], player: Player) -> list[str]:
    return [who_plays(show).name_of(player) for show in shows]


def test_a_guest_plays_only_where_ticked(world: World, shows: list[Show], guest: Rig) -> None:
    choose(shows[1], shown={guest.pk: False}, playing={guest.pk}, by=world.tech)
    assert [guest.pk in played_at(shows)[show.pk] for show in shows] == [False, True, False]
    assert [len(rows_of(show)) for show in shows] == [1, 2, 1]
    assert who_plays(shows[1]).said == ["Wanda Oake, guest"]
    assert who_plays(shows[0]).said == []
    # Once no guest any more, they play as everybody does.
    guest.player.guest = False
    guest.player.save()
    assert all(guest.pk in played for played in played_at(shows).values())


def test_a_dep_plays_at_one_show_or_to_the_end_of_the_leg(world: World, shows: list[Show]) -> None:
    ines = world.player
    dep(shows[0], ines, "Rook Sable", world)
    assert names(shows, ines) == [f"Rook Sable for {ines}", str(ines), str(ines)]
    dep(shows[0], ines, "Rook Sable", world, to_leg_end=True, version=1)
    assert names(shows, ines) == [f"Rook Sable for {ines}"] * 3
    # One for a single show in between, and after it the first one again.
    dep(shows[1], ines, "Ada Finch", world)
    assert names(shows, ines)[1:] == [f"Ada Finch for {ines}", f"Rook Sable for {ines}"]
    # The player is back: for the last show alone.
    dep(shows[2], ines, "", world)
    assert names(shows, ines)[2] == str(ines)
    assert ShowDep.objects.count() == 3
    # Nothing is said at the last show any more: that of the first one holds again.
    dep(shows[0], ines, "", world, version=2)
    assert names(shows, ines) == [str(ines), f"Ada Finch for {ines}", str(ines)]


@given(said=st.lists(st.sampled_from([None, "", "one", "leg"]), min_size=1, max_size=4))
def test_of_those_that_hold_the_one_that_began_last_counts(said: list[str | None]) -> None:
    """Against a walk through the shows by hand."""
    leg = Leg(name="Leg")
    shows = [Show(leg=leg, held_on=date(2026, 9, n), room=str(n)) for n in range(1, len(said) + 1)]
    who = Player(name="Ines")
    rows = [
        ShowDep(show=show, player=who, name=f"{at}" if word else "", to_leg_end=word == "leg")
        for at, (show, word) in enumerate(zip(shows, said, strict=True))
        if word is not None
    ]
    lasting = ""
    for at, (show, word) in enumerate(zip(shows, said, strict=True)):
        expected = lasting if word is None else (str(at) if word else "")
        if word == "leg":
            lasting = str(at)
        holding = [row for row in rows if players._holds(row, show)]
        last = max(holding, key=lambda row: players._order(row.show), default=None)
        assert (last.who if last else "") == expected


def test_a_dep_for_a_player_who_is_not_there_is_refused(
    world: World, shows: list[Show], guest: Rig
) -> None:
    with pytest.raises(ValidationError, match="Wanda Oake does not play at this show"):
        dep(shows[0], guest.player, "Rook Sable", world)
    with pytest.raises(ValidationError, match="cannot dep for themselves"):
        dep(shows[0], world.player, world.player.name.upper(), world)
    with pytest.raises(ValidationError, match="Write who plays"):
        dep(shows[0], world.player, "  ", world)
    elsewhere = Player.objects.create(
        production=type(world.production).objects.create(name="Elsewhere"), name="X", instrument="y"
    )
    with pytest.raises(ValidationError, match="not among the players"):
        dep(shows[0], elsewhere, "Rook Sable", world)
    shows[1].retire()
    with pytest.raises(ValidationError, match="retired"):
        dep(shows[1], world.player, "Rook Sable", world)
    assert not ShowDep.objects.exists()


def test_a_dep_stays_silent_where_the_player_does_not_play(world: World, shows: list[Show]) -> None:
    dep(shows[0], world.player, "Rook Sable", world, to_leg_end=True)
    choose(shows[1], shown={world.rig.pk: True}, playing=set(), by=world.tech)
    assert [bool(who_plays(show).deps) for show in shows] == [True, False, True]


def test_a_dep_may_be_another_player_and_follows_their_name(
    world: World, shows: list[Show], guest: Rig
) -> None:
    row = dep(shows[0], world.player, "wanda  oake", world)
    assert row is not None
    assert row.stands_in == guest.player
    guest.player.name = "Wanda Elm"
    guest.player.save()
    assert who_plays(shows[0]).name_of(world.player) == f"Wanda Elm for {world.player}"


def test_two_people_at_once(world: World, shows: list[Show]) -> None:
    dep(shows[0], world.player, "Rook Sable", world)
    with pytest.raises(DepChanged):
        dep(shows[0], world.player, "Ada Finch", world)
    url = reverse("rigs:show_dep", args=[world.production.pk, shows[0].pk, world.player.pk])
    crew = as_user(world.people[Role.CREW])
    typed = {"name": "Ada Finch", "differs": "Five strings", "version": "0"}
    page = crew.post(url, typed).content.decode()
    assert "Someone else changed this meanwhile" in page
    assert f"Now there: Rook Sable for {world.player}." in page
    assert "Five strings" in page
    assert 'name="version" value="1"' in page
    assert crew.post(url, typed | {"version": "1"}).status_code == 302
    assert who_plays(shows[0]).said == [f"Ada Finch for {world.player}: Five strings"]


@pytest.mark.parametrize(
    "name", ["rigs:show_inputs", "rigs:show_pack", "rigs:show_players", "notes:line_check"]
)
def test_pages_of_the_show_say_x_for_y(world: World, shows: list[Show], name: str) -> None:
    dep(shows[0], world.player, "Rook Sable", world, differs="Own bass, loud hi-hat")
    html = Page(as_user(world.tech), reverse(name, args=[world.production.pk, shows[0].pk])).html
    assert f"Rook Sable for {world.player}" in html
    assert "Own bass, loud hi-hat" in html


def test_what_leaves_the_house_says_it_too(world: World, shows: list[Show]) -> None:
    ines, production = world.player, world.production
    dep(shows[0], ines, "Rook Sable", world, differs="Own bass", to_leg_end=True)
    said = f"Rook Sable for {ines}"
    tech = as_user(world.tech)
    place = [production.pk, shows[1].pk]
    sheet = reverse("rigs:show_inputs_file", args=[*place, "csv"])
    assert said in tech.get(sheet).content.decode()
    leg = reverse("core:leg", args=[production.pk, shows[0].leg_id])
    assert Page(tech, leg).html.count(said) == 3
    packed = [line.where for section in pack_of_show(shows[1]) for line in section.lines]
    assert said in packed
    run = f"{reverse('rigs:run_sheet', args=[production.pk])}?show={shows[1].pk}"
    assert said in Page(tech, run).html
    shows_of = content_of(find(shows[0].leg))["leg"]["shows"]
    assert [show.get("plays") for show in shows_of] == [[f"{said}: Own bass"]] * 3
    hits = search(production, "sable").hits
    assert "".join(part.text for part in hits[0].title) == said
    # Taken back, nothing of it is found.
    dep(shows[0], ines, "", world, version=1)
    assert not search(production, "sable").hits


def test_the_digest_of_a_list_is_of_the_deps_of_that_show(world: World, shows: list[Show]) -> None:
    before = [state_of_show(show).digest for show in shows]
    dep(shows[1], world.player, "Rook Sable", world)
    one = [state_of_show(show).digest for show in shows]
    assert [a == b for a, b in zip(before, one, strict=True)] == [True, False, True]
    dep(shows[1], world.player, "Rook Sable", world, to_leg_end=True, version=1)
    leg = [state_of_show(show).digest for show in shows]
    assert [a == b for a, b in zip(one, leg, strict=True)] == [True, False, False]


def test_labels_patch_and_mixes_say_x_for_y(world: World, shows: list[Show]) -> None:
    box = make_box(world)
    changes = {world.input.pk: {"box": box, "way": 1}}
    write_lines(world.production, changes, names={world.input.pk: "Bass"}, by=world.tech)
    mix = MixState("Wedge", player=str(world.player.pk))
    create(world.production, mix, by=world.engineer)
    dep(shows[0], world.player, "Rook Sable", world)
    said = f"Rook Sable for {world.player}"
    tech, place = as_user(world.tech), [world.production.pk, shows[0].pk]
    assert said in Page(tech, reverse("rigs:show_patch", args=place)).html
    assert said in Page(tech, reverse("notes:show_mixes", args=place)).html
    csv = tech.get(reverse("rigs:show_patch_file", args=[*place, "csv"])).content.decode()
    assert said in csv
    strips = tech.get(reverse("rigs:show_patch_strips", args=place)).content
    assert said in " ".join(" ".join(text_of(strips)).split())
    usual = reverse("rigs:patch", args=[world.production.pk])
    assert said not in Page(tech, usual).html


def test_the_api(world: World, shows: list[Show]) -> None:
    tech = as_user(world.tech)
    url = f"/api/v1/shows/{shows[0].pk}/players/"
    [row] = tech.get(url).json()
    assert (row["name"], row["plays"], row["noted"]) == (str(world.player), True, None)
    put = f"{url}{world.player.pk}/dep/"
    key = {"HTTP_IDEMPOTENCY_KEY": '"dep-for-ines-1"'}
    sent = {"name": "Rook Sable", "differs": "Own bass", "version": 0}
    for _ in range(2):  # the second time it was done already
        answer = tech.put(put, sent, content_type="application/json", **key)  # type: ignore[arg-type]
        assert answer.status_code == 200, answer.json()
        assert answer.json()["name"] == f"Rook Sable for {world.player}"
    clash = tech.put(put, sent | {"name": "Ada"}, content_type="application/json")
    assert (clash.status_code, clash.json()["version"]) == (409, 1)
    assert tech.put(put, {}, content_type="application/json").status_code == 400
    choose(shows[0], shown={world.rig.pk: True}, playing=set(), by=world.tech)
    gone = tech.put(put, sent | {"version": 1}, content_type="application/json")
    assert gone.status_code == 422
    assert "does not play" in str(gone.json())
    player = as_user(world.people[Role.PLAYER])
    assert player.put(put, sent, content_type="application/json").status_code == 403


def test_more_deps_cost_no_more_queries(
    world: World, shows: list[Show], client: Client, django_assert_num_queries: Any
) -> None:
    client.force_login(world.tech)
    urls = [
        reverse(f"rigs:{name}", args=[world.production.pk, shows[0].pk])
        for name in ("show_players", "show_inputs", "show_pack")
    ]
    leg = reverse("core:leg", args=[world.production.pk, shows[0].leg_id])
    few = [queries_of(client, url) for url in (*urls, leg)]
    for n in range(4):
        player = Player.objects.create(
            production=world.production, name=f"P {n}", instrument="horn"
        )
        make_variant(world, player, f"Horn {n}", "main")
        dep(shows[0], player, f"Dep {n}", world, to_leg_end=True)
    assert [queries_of(client, url) for url in (*urls, leg)] == few
    with django_assert_num_queries(4):
        who_plays_at(shows)
    with django_assert_num_queries(1):
        deps_at(shows)
