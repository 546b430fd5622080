"""What waits for whom on the production's front page."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from core import clock
from core.access.loaders import load_member
from core.models import Leg, User
from notes.blind.results import to_hear_blind
from notes.blind.services import answer, begin, close, open_blind
from notes.handover import services as handover
from notes.handover.publish import publish
from notes.models import Note
from notes.signing import requests
from notes.to_dos import to_dos
from tests.notes.handover.support import legs
from tests.support.everything import fill
from tests.support.listening import hear, open_a_trial
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World, make_world


def words(world: World, user: User) -> list[str]:
    member = load_member(user, world.production.pk)
    return [to_do.words for to_do in to_dos(user, [member])[world.production.pk]]


@pytest.fixture
def leg(world: World) -> Leg:
    today = clock.now().date()
    return Leg.objects.create(
        production=world.production,
        name="Winter",
        starts_on=today + timedelta(days=5),
        ends_on=today + timedelta(days=25),
    )


def test_nothing_waits_in_a_new_production(world: World) -> None:
    assert words(world, world.engineer) == []


def test_open_notes_wait_for_the_engineer_and_not_for_the_crew(world: World) -> None:
    Note.objects.create(
        production=world.production,
        rig=world.rig,
        words="Boom.",
        verdict="adjust",
        written_by=world.engineer,
    )
    assert words(world, world.engineer) == ["1 note is not settled"]
    assert words(world, world.people["crew"]) == []


def test_a_question_waits_until_it_is_answered(world: World, leg: Leg) -> None:
    asked = handover.ask(leg=leg, user=world.people["crew"], words="Which fuse?", player=None)
    assert "1 question waits for an answer, Winter" in words(world, world.tech)
    handover.answer(question=asked, user=world.tech, words="Slow, 2 A.")
    assert not any("question" in said for said in words(world, world.tech))


def test_a_handover_waits_to_be_read(world: World, leg: Leg) -> None:
    handover.handover_of(leg)
    crew = world.people["crew"]
    assert words(world, crew) == ["2 sections to read of the handover for Winter"]
    handover.acknowledge(leg=leg, user=crew, player=None)
    handover.acknowledge(leg=leg, user=crew, player=world.player)
    assert words(world, crew) == []


def test_a_signature_waits_for_the_player_who_was_asked(world: World) -> None:
    requests.ask(rig=world.rig, revision=1, by=world.engineer, address=lambda token: token)
    assert words(world, world.people["player"]) == ["“Bass main” waits for your signature"]
    assert not any("signature" in said for said in words(world, world.tech))


def test_the_cost_is_the_same_for_many(
    world: World, django_assert_num_queries: Any, client: Client
) -> None:
    fill(world)
    members = [load_member(world.engineer, world.production.pk)]
    during = datetime(2026, 9, 1, 12, tzinfo=UTC)  # the leg that is published there
    with clock.set_to(during), django_assert_num_queries(7):
        to_dos(world.engineer, members)
    others = [make_world(f"Other {n}") for n in range(3)]
    for other in others:
        first, _ = legs(other)
        publish(leg=first, by=other.tech)
    members += [load_member(other.engineer, other.production.pk) for other in others]
    with clock.set_to(during), django_assert_num_queries(7):
        found = to_dos(world.engineer, members)
    assert any("to read of Handover 1" in each.words for each in found[others[0].production.pk])


def test_a_blind_trial_waits_for_whoever_has_not_heard_it_to_the_end(world: World) -> None:
    clips = [bring_clip(world, as_file(tone(1.0, hz=hz))) for hz in (440, 660)]
    blind = open_blind(
        trial=open_a_trial(world),
        clip_a=clips[0],
        clip_b=clips[1],
        rounds=5,
        listeners=2,
        by=world.engineer,
    )
    assert list(to_hear_blind(world.tech, [world.production.pk])) == [blind]
    sitting = begin(blind=blind, by=world.tech)
    for number in range(1, 6):
        assert list(to_hear_blind(world.tech, [world.production.pk])) == [blind]
        answer(sitting=sitting, number=number, x="first")
    assert list(to_hear_blind(world.tech, [world.production.pk])) == []
    assert list(to_hear_blind(world.engineer, [world.production.pk])) == [blind]
    close(blind=blind, by=world.engineer)
    assert list(to_hear_blind(world.engineer, [world.production.pk])) == []


def test_very_many_open_notes_are_not_counted_to_the_end(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("notes.to_dos.MANY", 2)
    hear(world), hear(world)
    assert words(world, world.engineer) == ["2 notes are not settled"]
    hear(world)
    assert words(world, world.engineer) == ["more than 2 notes are not settled"]
