"""What the pages of rigs show of signing."""

from __future__ import annotations

from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

from core.access.context import May
from core.access.loaders import load_member
from notes.signing.panels import rig_rows, rig_top
from notes.signing.services import sign
from rigs.changes.edits import Set
from rigs.places import RIG_ROWS, RIG_TOP
from tests.support.as_shown import as_shown
from tests.support.world import World, make_rig


def _request(world: World, who: str) -> Any:
    request = RequestFactory().get("/")
    request.member = load_member(world.people[who], world.production.pk)  # type: ignore[attr-defined]
    return request


def _top(world: World, who: str = "engineer") -> str:
    world.rig.refresh_from_db()
    panel = rig_top(_request(world, who), world.rig)
    context = {"production": world.production, "may": May(frozenset({who})), **panel.context}
    return as_shown(render_to_string(panel.template, context))


def test_the_signed_words_and_who_signed_them_open_the_rig(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    top = _top(world)
    assert "Warm, woody, no clank." in top
    assert "Ines Halloran, change 1," in top
    assert "changed since" not in top


def test_what_changed_after_signing_is_listed_there(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    world.turn("3:00")
    top = _top(world)
    assert "What differs since the player signed change 1" in top
    assert "1 change since" in top
    assert "3:00</ins>" in top


def test_what_else_happened_is_told_where_the_sound_is_still_the_signed_one(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    world.record(Set(str(world.unit.pk), "unit", {"packed_in": "Case 4"}))
    top = _top(world)
    assert "What else happened since the player signed change 1" in top
    assert "Case 4</ins>" in top
    assert "1 change since, the sound is the same" in top
    assert "changed since" not in top


def test_another_order_is_called_another_order(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    world.record(Set(str(world.unit.pk), "unit", {"position": 7}))
    top = _top(world)
    assert "Only the order is different." in top
    assert "changed back" not in top


def test_changed_and_changed_back_is_said_where_it_is_so(world: World) -> None:
    sign(rig=world.rig, party="player", decision="signed", player=world.player, revision=1)
    was = world.control.setting
    world.turn("3:00")
    world.turn(was)
    top = _top(world)
    assert "It was changed and changed back. Nothing is different now." in top
    assert "changed since" not in top


@pytest.mark.parametrize(
    ("who", "signs", "asks"),
    [
        ("engineer", True, True),
        ("tech", True, True),
        ("player", True, False),
        ("crew", False, False),
        ("manager", False, False),
    ],
)
def test_only_what_the_reader_may_do_is_offered(
    world: World, who: str, signs: bool, asks: bool
) -> None:
    top = _top(world, who)
    assert ("Sign, or say not yet" in top) is signs
    assert ("to sign</a>" in top) is asks


def test_hostile_words_are_text(world: World) -> None:
    sign(
        rig=world.rig,
        party="player",
        decision="withheld",
        words="<img src=x onerror=1>",
        player=world.player,
        revision=1,
    )
    assert "<img" not in _top(world)
    assert "&lt;img src=x onerror=1&gt;" in _top(world)


@pytest.mark.parametrize("number", [1, 10])
def test_a_list_of_rigs_costs_three_queries(
    world: World, django_assert_num_queries: Any, number: int
) -> None:
    rigs = [make_rig(world.production, world.player, world.tech, f"Rig {n}") for n in range(number)]
    request = _request(world, "tech")
    with django_assert_num_queries(3):
        panel = rig_rows(request, rigs)
    row = render_to_string(panel.template, {"rig": rigs[0], **panel.context})
    assert "not asked" not in row  # nothing was asked of anybody, which one line says
    assert row.count("Not signed yet") == 1


def test_they_are_registered(world: World) -> None:
    request = _request(world, "tech")
    templates = [p.template for p in RIG_TOP.call(request, world.rig)]
    assert templates == ["notes/signing/_rig_top.html"]
    assert [p.template for p in RIG_ROWS.call(request, [world.rig])] == [
        "notes/signing/_rig_row.html"
    ]
