"""Where mixes are told of besides their own pages: line check, what waits, a short form."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.test import Client

from core.access.loaders import load_member
from core.models import User
from core.models.roles import Role
from notes.models import MonitorMix
from notes.monitors import signing
from notes.monitors.services import create
from notes.monitors.state import MixState, Want
from notes.monitors.wanted import wanted_in
from notes.to_dos import to_dos
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.world import World


@pytest.fixture
def mix(world: World) -> MonitorMix:
    want = Want(str(uuid4()), "more", (f"input:{world.input.pk}",), words="the thump")
    state = MixState("Wedge", player=str(world.player.pk), wants=(want,))
    return create(world.production, state, by=world.engineer)


def waiting(world: World, user: User) -> list[str]:
    member = load_member(user, world.production.pk)
    return [each.words for each in to_dos(user, [member])[world.production.pk]]


def test_the_line_check_names_the_mixes_an_input_is_wanted_in(
    world: World, mix: MonitorMix
) -> None:
    whole = Want(str(uuid4()), "none", (f"rig:{world.rig.pk}",))
    state = MixState("Side fill", position="stage left", wants=(whole,))
    create(world.production, state, by=world.engineer)
    elsewhere = Want(str(uuid4()), words="only words")
    create(
        world.production,
        MixState("Ears", position="riser", wants=(elsewhere,)),
        by=world.engineer,
    )
    said = wanted_in(world.production.pk, [world.input.pk])
    assert set(said[world.input.pk].split(", ")) == {"Wedge (more)", "Side fill (none)"}
    show = make_show(world)
    html = as_user(world.tech).get(at(world, "notes:line_check", show.pk)).content.decode()
    assert "Wedge (more)" in html
    assert "Ears" not in html


def test_without_mixes_it_costs_one_query(world: World, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(1):  # type: ignore[operator]
        assert wanted_in(world.production.pk, [world.input.pk]) == {}


def test_a_mix_waits_for_the_player_who_was_asked(world: World, mix: MonitorMix) -> None:
    player = world.people[Role.PLAYER]
    signing.ask(mix=mix, version=1, by=world.engineer, address=lambda token: token)
    assert waiting(world, player) == ["Mix “Wedge” waits for your signature"]
    assert not any("signature" in words for words in waiting(world, world.tech))
    signing.withdraw(mix)
    assert waiting(world, player) == []


def test_lines_are_folded_until_something_is_typed_or_wrong(world: World, mix: MonitorMix) -> None:
    client: Client = as_user(world.people[Role.MONITORS])
    page = client.get(f"{mix.get_absolute_url()}edit/")
    html = page.content.decode()
    summary = html.split('class="mix-line', 1)[1].split("</summary>", 1)[0]
    assert "“the thump”" in summary
    assert html.count('<details class="mix-line') == 4
    assert not any(row.is_open for row in page.context["form"].wants)
    rows = [row.want.id for row in page.context["form"].wants]
    sent = {
        "version": "1",
        "name": "",
        "kind": "wedge",
        "player": str(world.player.pk),
        "row": rows,
    }
    sent |= {f"{each}-level": "more" for each in rows}
    sent |= {f"{rows[0]}-place": "1", f"{rows[0]}-inputs": "Cowbell", f"{rows[0]}-words": "x"}
    answer = client.post(f"{mix.get_absolute_url()}edit/", sent)
    assert [row.is_open for row in answer.context["form"].wants] == [True, False, False, False]
