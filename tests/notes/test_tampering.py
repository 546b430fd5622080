"""What somebody who holds the database can change, and whether it is found.

Nothing outside to compare with; the list is that of what crews have to be able to rely on.
"""

from __future__ import annotations

from typing import Any

import pytest

from core.models import Checkpoint
from core.proof import key
from core.proof.checkpoints import take
from tests.bench.tampering import breaks, checkpoints, trial
from tests.core.proof.conftest import signed
from tests.notes.archive.full import fill_all
from tests.support.world import World

__all__ = ["signed"]


@pytest.mark.any_database
def test_each_way_of_tampering_is_found_as_the_table_says(
    world: World, signed: key.Key, settings: Any
) -> None:
    fill_all(world)
    world.turn("9:00")
    take(world.production.pk, Checkpoint.Why.ASKED)
    kept = checkpoints(world)
    assert breaks(world, kept) == []
    wrong = [
        (way.name, found, words)
        for way, found, words in trial(world, kept)
        if found != way.expected
    ]
    assert wrong == []
