"""Where a rig stands with each party: every state, and the same cost for one rig and for many."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from core import clock
from core.models import OneTimeLink
from notes.signing.requests import ask, withdraw
from notes.signing.services import sign
from notes.signing.states import sign_off_status_of, sign_off_statuses
from rigs.changes.edits import Add, Set
from rigs.models import StoredPhoto
from rigs.revisions.record import record, restore
from tests.support.world import World, make_rig


def _states(world: World) -> list[str]:
    world.rig.refresh_from_db()
    return [str(party.state) for party in sign_off_status_of(world.rig).parties]


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
    assert sign_off_status_of(world.rig).player.changes_since == 2


def _photo(world: World) -> Add:
    stored = StoredPhoto.objects.create(
        production=world.production,
        sha256="a" * 64,
        thumb_sha256="b" * 64,
        width=4,
        height=3,
        bytes=12,
        taken_by=world.engineer,
    )
    return Add(str(uuid4()), "photo", {"image": str(stored.pk), "caption": "the amp"})


@pytest.mark.parametrize("what", ["order", "photo", "name", "unit of a length"])
def test_what_is_not_of_the_sound_leaves_signed_what_was_signed(world: World, what: str) -> None:
    """A crew signs how it sounds: a photo, an order, a label change nothing of that (common
    practice, no source)."""
    edit = {
        "order": Set(str(world.input.pk), "input", {"position": 5, "number": 12}),
        "photo": _photo(world),
        "name": Set(str(world.unit.pk), "unit", {"name": "Head, stage left", "packed_in": "4"}),
        "unit of a length": Set(str(world.input.pk), "input", {"distance_unit": "in"}),
    }[what]
    _player_signs(world)
    world.record(edit)
    assert _states(world)[0] == "signed"
    assert sign_off_status_of(world.rig).player.changes_since == 1


def test_signed_again_by_restoring_exactly_what_was_signed(world: World) -> None:
    _player_signs(world)
    world.turn("3:00")
    world.rig.refresh_from_db()
    assert _states(world)[0] == "changed"
    restore(world.rig, 1, author=world.engineer)
    assert _states(world)[0] == "signed"
    assert sign_off_status_of(world.rig).player.changes_since == 2


def test_each_party_stands_by_what_it_signed_itself(world: World) -> None:
    _player_signs(world)
    world.turn("3:00")
    sign(rig=world.rig, party="tech", decision="signed", user=world.tech, revision=2)
    world.record(_photo(world))
    assert _states(world) == ["changed", "signed", "not_asked"]


def test_signing_again_makes_it_signed_again(world: World) -> None:
    _player_signs(world)
    world.turn("3:00")
    _player_signs(world, revision=2)
    assert _states(world)[0] == "signed"


def test_withheld_stays_withheld_with_its_words_whatever_changes(world: World) -> None:
    _player_signs(world)
    _player_signs(world, decision="withheld", words="Too polite.")
    world.turn("3:00")
    player = sign_off_status_of(world.rig).player
    assert (_states(world)[0], player.sign_off and player.sign_off.words) == (
        "withheld",
        "Too polite.",
    )


def test_the_words_that_were_signed_outlive_new_ones(world: World) -> None:
    _player_signs(world)
    for sound in ("Bright.", "Brighter."):
        world.record(Set(str(world.rig.pk), "rig", {"sound": sound}))
    world.rig.refresh_from_db()
    standing = sign_off_status_of(world.rig)
    assert (standing.signed_sound, standing.rig.sound) == ("Warm, woody, no clank.", "Brighter.")
    assert standing.sound_moved
    _player_signs(world, revision=3)
    assert sign_off_status_of(world.rig).signed_sound == "Brighter."


def test_without_a_signature_no_words_are_signed(world: World) -> None:
    assert sign_off_status_of(world.rig).signed_sound is None
    assert not sign_off_status_of(world.rig).sound_moved


@pytest.mark.parametrize("number", [1, 10])
def test_many_rigs_cost_what_one_costs(
    world: World, django_assert_num_queries: Any, number: int
) -> None:
    rigs = [make_rig(world.production, world.player, world.tech, f"Rig {n}") for n in range(number)]
    for rig in rigs:
        sign(rig=rig, party="player", decision="signed", player=world.player, revision=1)
        ask(rig=rig, revision=1, by=world.engineer, address=lambda t: t)
    with django_assert_num_queries(3):
        found = sign_off_statuses(rigs)
    assert {str(standing.player.state) for standing in found.values()} == {"signed"}


@pytest.mark.parametrize("number", [1, 10])
def test_many_changed_rigs_cost_what_one_costs(
    world: World, django_assert_num_queries: Any, number: int
) -> None:
    """Three parties that signed different changes of each rig, and more changes after them."""
    rigs = [make_rig(world.production, world.player, world.tech, f"Rig {n}") for n in range(number)]
    for rig in rigs:
        for revision, party in enumerate(("player", "tech", "engineer"), start=1):
            who = {"player": world.player} if party == "player" else {"user": world.people[party]}
            sign(rig=rig, party=party, decision="signed", revision=revision, **who)
            sound = {"sound": f"After {party}"}
            record(rig, [Set(str(rig.pk), "rig", sound)], author=world.engineer, base=revision)
            rig.refresh_from_db()
    with django_assert_num_queries(5):
        found = sign_off_statuses(rigs)
    assert {str(each.state) for one in found.values() for each in one.parties} == {"changed"}
