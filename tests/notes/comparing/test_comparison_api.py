"""Clips side by side over the API."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.support.api import api
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def get(world: World, what: str, role: str = "crew") -> Any:
    return api(world.people[role]).get(f"/api/v1/productions/{world.production.pk}/{what}")


def test_clips_side_by_side_with_gains_levels_and_words(world: World) -> None:
    noise = np.random.default_rng(1).standard_normal(2 * 48_000)
    first = bring_clip(world, as_file(0.01 * noise), title="Hushed")
    second = bring_clip(world, as_file(0.1 * noise), title="Loud")
    found = get(world, f"comparison/?clip={first.pk}&clip={second.pk}").json()
    assert len(found["bands_hz"]) == len(found["clips"][1]["change_db"]) == 31
    quiet, loud = found["clips"]
    assert (quiet["clip"], quiet["letter"], quiet["change_db"]) == (str(first.pk), "A", None)
    # 0.01 and 0.1 are 20 dB apart, and so are the gains that match them.
    assert quiet["gain_db"] - loud["gain_db"] == pytest.approx(20, abs=0.01)
    assert loud["told"] == []
    assert any("no pause" in words for words in loud["unsaid"])


@pytest.mark.parametrize(("query", "status"), [("clip=x", 400), ("", 422)])
def test_what_cannot_be_compared_is_named(world: World, query: str, status: int) -> None:
    answered = get(world, f"comparison/?{query}")
    assert answered.status_code == status
    assert "clip" in answered.json()["fields"]


def test_a_clip_of_another_production_is_not_there(world: World) -> None:
    elsewhere = make_world("Elsewhere")
    theirs = bring_clip(elsewhere, as_file(tone(1.0)))
    assert get(world, f"comparison/?clip={theirs.pk}&clip={theirs.pk}").status_code == 400
