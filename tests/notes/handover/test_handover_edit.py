"""The words of a handover, and the list of handovers."""

from __future__ import annotations

from typing import Any

import pytest

from core.models import Leg
from notes.handover import services
from notes.models import Handover
from tests.notes.handover.support import cells_of, legs, more_players
from tests.support.pages import as_user, at
from tests.support.world import World


def _save(world: World, leg: Leg, who: str = "engineer", **more: Any) -> Any:
    data = {"opening": "Walk the room.", "cautions": "", "people": "", "version": 1} | more
    return as_user(world.people[who]).post(at(world, "notes:handover_edit", leg.pk), data)


def test_the_first_words_make_the_handover(world: World) -> None:
    autumn, _ = legs(world)
    assert (
        as_user(world.engineer).get(at(world, "notes:handover_edit", autumn.pk)).status_code == 200
    )
    assert not Handover.objects.exists()
    response = _save(world, autumn)
    made = Handover.objects.get()
    assert (made.leg, made.opening, made.version) == (autumn, "Walk the room.", 2)
    assert response.headers["Location"] == at(world, "notes:handover", autumn.pk)


def test_two_who_write_at_once_do_not_lose_each_others_words(world: World) -> None:
    autumn, _ = legs(world)
    _save(world, autumn)
    response = _save(world, autumn, "tech", opening="Listen first.")
    form = response.context["form"]
    assert form["opening"].value() == "Listen first."
    assert form.errors["opening"] == ["Now there: Walk the room."]
    assert Handover.objects.get().opening == "Walk the room."


def test_words_changed_after_reading_are_not_read(world: World) -> None:
    autumn, _ = legs(world)
    services.acknowledge(leg=autumn, user=world.tech, player=None)
    assert cells_of(autumn, world.tech)[0].is_read
    _save(world, autumn)
    assert cells_of(autumn, world.tech)[0].is_stale


def test_too_long_words_are_refused_at_their_field(world: World) -> None:
    response = _save(world, legs(world)[0], opening="z" * 8001)
    assert list(response.context["form"].errors) == ["opening"]
    assert "z" * 8001 in response.content.decode()


@pytest.mark.parametrize("who", ["player", "crew", "manager"])
def test_only_engineer_and_tech_write_it(world: World, who: str) -> None:
    autumn, _ = legs(world)
    assert _save(world, autumn, who).status_code == 403
    page = as_user(world.people[who]).get(at(world, "notes:handover", autumn.pk)).content.decode()
    assert "Edit the words" not in page


def test_outsiders_find_neither_form_nor_list(world: World) -> None:
    autumn, _ = legs(world)
    client = as_user(world.outsider)
    assert client.get(at(world, "notes:handover_edit", autumn.pk)).status_code == 404
    assert client.get(at(world, "notes:handovers")).status_code == 404


def test_the_list_says_how_far_the_reading_is(world: World) -> None:
    autumn, winter = legs(world)
    crew = world.people["crew"]
    for player in (None, world.player):
        services.acknowledge(leg=autumn, user=crew, player=player)
    services.acknowledge(leg=winter, user=crew, player=None)
    services.ask(leg=winter, user=crew, words="Which fuse?", player=None)
    rows = as_user(crew).get(at(world, "notes:handovers")).context["rows"]
    assert [(r.leg, r.mine, r.sections, r.readers, r.members, r.unanswered) for r in rows] == [
        (winter, 1, 2, 0, 6, 1),
        (autumn, 2, 2, 1, 6, 0),
    ]


def test_without_legs_the_list_says_what_to_do(world: World) -> None:
    url = at(world, "notes:handovers")
    assert "Add the first leg" in as_user(world.engineer).get(url).content.decode()
    assert "Add the first leg" not in as_user(world.people["crew"]).get(url).content.decode()


@pytest.mark.parametrize("number", [1, 9])
def test_the_list_costs_the_same_for_one_and_for_many(
    world: World, django_assert_num_queries: Any, number: int
) -> None:
    from notes.handover.overview import overview

    legs(world)
    more_players(world, number)
    with django_assert_num_queries(6):  # two more where something is published
        overview(world.production, world.tech)
