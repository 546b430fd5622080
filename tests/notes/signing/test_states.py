"""Where a rig stands with each party: every state, and the same cost for one rig and for many."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from core import clock
from core.models import OneTimeLink
from notes.signing.requests import ask, withdraw
from notes.signing.services import sign
from notes.signing.states import standing_of, standings
from rigs.changes.edits import Set
from tests.support.world import World, make_rig


def _states(world: World) -> list[str]:
    world.rig.refresh_from_db()
    return [str(party.state) for party in standing_of(world.rig).parties]


def _player_signs(world: World, revision: int = 1, **more: Any) -> None:
    values = {"decision": "signed", "player": world.player} | more
    sign(rig=world.rig, party="player", revision=revision, **values)


def _ask(world: World, revision: int = 1) -> OneTimeLink:
    made = ask(rig=world.rig, revision=revision, by=world.engineer, address=lambda t: t)
    return made.request.link


def test_nobody_was_asked(world: World) -> None:
    assert _states(world) == ["not_asked", "not_asked", "not_asked"]


def test_asked_while_the_link_is_open(world: World) -> None:
    _ask(world)
    assert _states(world)[0] == "asked"
    with clock.set_to(clock.now() + timedelta(days=15)):
        assert _states(world)[0] == "not_asked"


def test_a_withdrawn_link_asks_nobody(world: World) -> None:
    _ask(world)
    assert withdraw(rig=world.rig)
    assert not withdraw(rig=world.rig)
    assert _states(world)[0] == "not_asked"


def test_asking_again_closes_the_earlier_link(world: World) -> None:
    first = _ask(world)
    second = _ask(world)
    first.refresh_from_db()
    assert (first.is_open, second.is_open) == (False, True)


def test_signed_then_changed_since(world: World) -> None:
    _player_signs(world)
    sign(rig=world.rig, party="tech", decision="signed", user=world.tech, revision=1)
    assert _states(world) == ["signed", "signed", "not_asked"]
    world.turn("3:00")
    world.turn("4:00")
    assert _states(world) == ["changed", "changed", "not_asked"]
    assert standing_of(world.rig).player.changes_since == 2


def test_signing_again_makes_it_signed_again(world: World) -> None:
    _player_signs(world)
    world.turn("3:00")
    _player_signs(world, revision=2)
    assert _states(world)[0] == "signed"


def test_withheld_stays_withheld_with_its_words_whatever_changes(world: World) -> None:
    _player_signs(world)
    _player_signs(world, decision="withheld", words="Too polite.")
    world.turn("3:00")
    player = standing_of(world.rig).player
    assert (_states(world)[0], player.sign_off and player.sign_off.words) == (
        "withheld",
        "Too polite.",
    )


def test_the_words_that_were_signed_outlive_new_ones(world: World) -> None:
    _player_signs(world)
    for sound in ("Bright.", "Brighter."):
        world.record(Set(str(world.rig.pk), "rig", {"sound": sound}))
    world.rig.refresh_from_db()
    standing = standing_of(world.rig)
    assert (standing.signed_sound, standing.rig.sound) == ("Warm, woody, no clank.", "Brighter.")
    assert standing.sound_moved
    _player_signs(world, revision=3)
    assert standing_of(world.rig).signed_sound == "Brighter."


def test_without_a_signature_no_words_are_signed(world: World) -> None:
    assert standing_of(world.rig).signed_sound is None
    assert not standing_of(world.rig).sound_moved


@pytest.mark.parametrize("number", [1, 10])
def test_many_rigs_cost_what_one_costs(
    world: World, django_assert_num_queries: Any, number: int
) -> None:
    rigs = [make_rig(world.production, world.player, world.tech, f"Rig {n}") for n in range(number)]
    for rig in rigs:
        sign(rig=rig, party="player", decision="signed", player=world.player, revision=1)
        ask(rig=rig, revision=1, by=world.engineer, address=lambda t: t)
    with django_assert_num_queries(3):
        found = standings(rigs)
    assert {str(standing.player.state) for standing in found.values()} == {"signed"}
