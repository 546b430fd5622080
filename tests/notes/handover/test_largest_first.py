"""The order of what is told holds for any history: by player, the largest first, nothing twice and
nothing lost, each with those who did it. The sizes are worked out anew here from the rows kept."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from notes.handover.changes import changes_after, changes_data
from notes.handover.compare import differences, largest_first
from notes.signing.net_changes import between
from notes.signing.since import LIMIT
from notes.signing.size import size_of
from rigs.fields import Rank
from tests.rigs.revisions.test_history_properties import STEP, play
from tests.support.world import make_world

TOLD = st.lists(
    st.tuples(st.integers(0, len(Rank) - 1), st.integers(0, 3000)).map(
        lambda size: {"name": "part", "size": list(size), "lines": [], "why": []}
    ),
    max_size=8,
)


def _handover(rigs: dict[str, str]) -> dict[str, Any]:
    """A section for each player, with the rigs (id → player) of theirs."""
    blank: dict[str, Any] = {"parties": [], "open_notes": [], "open_trials": []}
    return {
        "general": {"opening": "", "cautions": [], "people": ""},
        "sections": [
            {
                "key": f"player-{who}",
                "player": {"id": who, "name": who, "instrument": ""},
                "rigs": [
                    {"id": rig, "name": rig, **blank} for rig, own in rigs.items() if own == who
                ],
            }
            for who in dict.fromkeys(rigs.values())
        ],
    }


@given(st.dictionaries(st.sampled_from(["a1", "a2", "b1", "c1"]), TOLD, min_size=1))
def test_a_players_changes_are_largest_first_over_all_rigs(changed: dict[str, Any]) -> None:
    handover = _handover({rig: rig[0] for rig in ("a1", "a2", "b1", "c1")})
    told = {rig: {"told": rows, "more": 0} for rig, rows in changed.items()}
    found = differences(handover, handover, told)
    for section in found["sections"]:
        sizes = [(each["size"][0], -each["size"][1]) for each in section["changes"]]
        assert sizes == sorted(sizes)
        assert {each["rig"]["id"][0] for each in section["changes"]} <= {section["player"]["id"]}
    kept = sum(len(section["changes"]) for section in found["sections"])
    assert kept == sum(len(rows) for rows in changed.values())


@pytest.mark.django_db
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=1, max_size=14))
def test_so_are_those_of_a_real_history(steps: list[tuple[int, str, int]]) -> None:
    with transaction.atomic():
        world = make_world()
        play(world, steps)
        rig = world.rig
        found = changes_after([rig], {str(rig.pk): 1}).get(rig.pk)
        told = changes_data(found)["told"] if found else []
        assert [each["size"] for each in told] == sorted(
            (each["size"] for each in told), key=largest_first
        )
        assert all(each["why"] for each in told)  # whoever changed it is named
        moved = (
            between([rig], {rig.pk: (1, rig.head_number)})[rig.pk] if rig.head_number > 1 else []
        )
        told_of = [each for each in moved if each.change.field not in ("position", *UNITS)]
        assert sum(len(each["lines"]) for each in told) == min(LIMIT, len(told_of))
        ranks = [int(size_of(each.change).rank) for each in told_of]
        if told:
            assert told[0]["size"][0] == min(ranks)
        transaction.set_rollback(True)


UNITS = (
    "distance_unit",
    "height_unit",
    "offset_unit",
    "plan_right_unit",
    "plan_front_unit",
    "length_unit",
)
