"""What is on record of two clips of one input states a delay that their sound leaves open.

Delays are those that tests.support.captures makes: a low sound, and another microphone's of it.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from notes.comparing.evidence import tie_to_alternative
from notes.comparing.sides import Side
from notes.listening.doubt import LOUDEST_OPEN
from notes.models import Clip
from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import Device
from tests.support.captures import make_pair
from tests.support.listening import heard_alternative, open_a_trial
from tests.support.sounds import as_file, bring_clip
from tests.support.world import HIRE, World, make_device, make_world

SPEED = 343.2  # m/s at 20 °C: ISO 9613-1
NEAR_M, FAR_M = 0.035, 0.4  # the world's microphone stands 35 mm from the grille
LATE_S = (FAR_M - NEAR_M) / SPEED

Beside = Callable[[Clip, Clip], Side]


@pytest.fixture
def world(db: None) -> World:
    cache.clear()
    return make_world()


@pytest.fixture
def box(world: World) -> Device:
    return make_device(world.production, "Plain DI", form="di", principle="di_passive", pattern="")


@pytest.fixture
def beside(world: World, client: Client) -> Beside:
    client.force_login(world.engineer)

    def second(one: Clip, other: Clip) -> Side:
        url = reverse("notes:compare", args=[world.production.pk])
        page: Any = client.get(url, {"clip": [str(one.pk), str(other.pk)]})
        found = page.context["comparison"]
        doubt = found.others[0].relation.doubt
        assert doubt is None or doubt.sentences("A and B") in found.caveats
        return found.others[0]

    return second


def heard(world: World, at: int, delay_s: float = LATE_S, format: str = "WAV") -> Clip:
    """One of two recordings of a low sound, of the input as it is written down now.

    A second clip of equal samples takes another lossless `format`.
    """
    low = make_pair("bass_line", 0, delay_s=delay_s, polarity=1)
    sound = (low.first, low.second)[at]
    return bring_clip(world, as_file(sound, format=format), title="ab"[at])


def move(world: World, distance_m: float, reason: ReasonKind = ReasonKind.ROOM) -> None:
    placed = {"distance_m": Decimal(str(distance_m))}
    edit = Set(str(world.input.pk), "input", placed)
    world.record(edit, reason=Reason(reason, "For the sound."))


def refused(side: Side) -> bool:
    assert side.relation is not None
    return side.relation.doubt == LOUDEST_OPEN and " ms" not in side.when_words


def stated(side: Side) -> bool:
    assert side.relation is not None
    assert side.relation.caution == ""
    return side.relation.delay_s == pytest.approx(LATE_S, abs=1e-4) and " ms" in side.when_words


def test_a_di_then_is_stated_and_a_di_now_is_not(world: World, box: Device, beside: Beside) -> None:
    before = heard(world, 0)
    world.swap(box, HIRE)
    direct = heard(world, 0, format="FLAC")
    world.swap(world.mic, HIRE)
    after = heard(world, 1)
    assert stated(beside(direct, after))
    assert refused(beside(before, after))
    world.swap(box, HIRE)
    assert refused(beside(before, after))


@pytest.mark.parametrize(("distance_m", "told"), [(FAR_M, True), (0.8, False)])
def test_distances_of_then_are_asked(
    world: World, beside: Beside, distance_m: float, told: bool
) -> None:
    near = heard(world, 0)
    move(world, distance_m)
    far = heard(world, 1)
    # Where it stands today says nothing of either.
    move(world, 0.2)
    side = beside(near, far)
    assert stated(side) if told else refused(side)


def test_a_distance_that_was_put_right_counts(world: World, beside: Beside) -> None:
    near = heard(world, 0)
    move(world, 0.8)
    far = heard(world, 1)
    move(world, FAR_M, ReasonKind.CORRECTION)
    assert stated(beside(near, far))


def test_one_distance_on_record_bears_nothing_out(world: World, beside: Beside) -> None:
    """Both together, as one microphone would be with itself: but then one is not on record."""
    side = beside(heard(world, 0, 0.0), heard(world, 1, 0.0))
    assert refused(side)
    assert side.relation is not None
    assert side.relation.likeliest_s == pytest.approx(0, abs=1e-4)


@pytest.mark.parametrize(
    ("tried", "told"),
    [("DI", True), ("microphone", False), ("microphone at a distance", True)],
)
def test_of_alternatives_what_was_tried_counts_and_not_the_input(
    world: World, box: Device, beside: Beside, tried: str, told: bool
) -> None:
    clips = heard(world, 0), heard(world, 1)
    trial = open_a_trial(world)
    other = heard_alternative(world, trial, box if tried == "DI" else world.other_mic)
    if tried.endswith("distance"):
        other.reference_point, other.distance_m = "grille", Decimal(str(FAR_M))
        other.save()
    tie_to_alternative(alternative=other, clip=clips[1], by=world.tech)
    side = beside(*clips)
    assert stated(side) if told else refused(side)
