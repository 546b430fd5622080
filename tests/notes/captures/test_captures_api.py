"""Measured captures over the API."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from notes.models import CapturePair, Clip
from tests.support.api import api
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


def test_kept_measurements(world: World) -> None:
    first, second = two_clips(world)
    CapturePair.objects.create(
        production=world.production,
        rig=world.rig,
        first=first,
        second=second,
        method="delay/1",
        delay_s=0.0021,
        polarity=-1,
        source_polarity=-1,
        confidence=0.9,
        alike=1.0,
        kept_by=world.engineer,
    )
    (found,) = get(world, "captures/").json()["results"]
    assert (found["delay_s"], found["polarity"]) == (0.0021, -1)
    assert found["kept_by"]["name"] == world.engineer.name
