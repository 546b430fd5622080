"""Blind trials over the API."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from notes.blind.services import answer, begin, close, open_blind
from notes.models import BlindTrial, Clip
from tests.support.api import api
from tests.support.listening import open_a_trial
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def get(world: World, what: str, role: str = "crew") -> Any:
    return api(world.people[role]).get(f"/api/v1/productions/{world.production.pk}/{what}")


def two_clips(world: World) -> tuple[Clip, Clip]:
    return (
        bring_clip(world, as_file(tone(2.0, hz=440, level=0.05)), title="Hushed"),
        bring_clip(world, as_file(tone(2.0, hz=440, level=0.5)), title="Loud"),
    )


@pytest.fixture
def blind(world: World) -> BlindTrial:
    first, second = two_clips(world)
    return open_blind(
        trial=open_a_trial(world),
        clip_a=first,
        clip_b=second,
        rounds=5,
        listeners=3,
        by=world.engineer,
    )


def listen(blind: BlindTrial, world: World, role: str) -> None:
    sitting = begin(blind=blind, by=world.people[role])
    for number, drawn in enumerate(sitting.drawn, 1):
        answer(sitting=sitting, number=number, x=drawn.x)


def test_results_wait_for_whoever_reads_them_and_orders_until_the_end(
    world: World, blind: BlindTrial
) -> None:
    listen(blind, world, "tech")
    (seen,) = get(world, "blind-trials/", "engineer").json()["results"]
    (sitting,) = seen["sittings"]
    assert len(sitting["seal"]) == 64
    assert [sitting[name] for name in ("result", "order", "nonce")] == [None, None, None]
    (own,) = get(world, "blind-trials/", "tech").json()["results"]
    assert own["sittings"] == seen["sittings"]  # nor does whoever is done see what may sway
    for role in ("engineer", "crew"):
        listen(blind, world, role)
    (settled,) = get(world, "blind-trials/", "player").json()["results"]
    result = settled["sittings"][0]["result"]
    # 1/32 each, 1/2¹⁵ together: of four, the least counts four times and the others three.
    assert (result["right"], result["chance"], result["raised_chance"]) == (5, 1 / 32, 3 / 32)
    assert settled["sittings"][0]["order"] is None
    close(blind=blind, by=world.engineer)
    (closed,) = get(world, "blind-trials/").json()["results"]
    sitting = closed["sittings"][0]
    text = '{{"nonce":"{}","order":[{}]}}'.format(
        sitting["nonce"], ",".join(f'["{first}","{x}"]' for first, x in sitting["order"])
    )
    assert hashlib.sha256(text.encode()).hexdigest() == sitting["seal"]
    assert closed["outcome"].startswith("A difference was heard")


def test_as_many_queries_for_many_listeners(world: World, blind: BlindTrial) -> None:
    listen(blind, world, "tech")
    get(world, "blind-trials/", "engineer")  # what is kept of the first request
    with CaptureQueriesContext(connection) as one:
        get(world, "blind-trials/", "engineer")
    for role in ("crew", "engineer"):
        listen(blind, world, role)
    with CaptureQueriesContext(connection) as many:
        get(world, "blind-trials/", "engineer")
    assert len(many) == len(one)
