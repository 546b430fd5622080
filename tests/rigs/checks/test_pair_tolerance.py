"""The engineer sets the tolerance of a stereo pair as a figure, and the check follows."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from rigs.changes.edits import Add
from rigs.models import Fact, Unit
from tests.support.pages import as_user, at
from tests.support.world import World

NOT_EQUAL = "Overhead left and Overhead right are not equally far from the snare centre"


@pytest.fixture
def pair(world: World) -> World:
    """Two overheads on one cymbal, 25 mm apart in their distance from the snare centre."""
    ride = str(uuid4())
    world.record(
        Add(ride, "unit", {"name": "Ride", "gear": "cymbal"}),
        *(
            Add(
                str(uuid4()),
                "input",
                {
                    "name": f"Overhead {side}",
                    "unit": ride,
                    "device": str(world.mic.pk),
                    "reference_point": "snare centre",
                    "distance_m": distance,
                },
            )
            for side, distance in (("left", "1"), ("right", "1.025"))
        ),
    )
    return world


def findings(world: World) -> str:
    page = as_user(world.engineer).get(at(world, "rigs:findings", world.rig.pk))
    return str(page.content.decode())


def set_tolerance(world: World, shown: str) -> Any:
    world.rig.refresh_from_db()
    ride = Unit.objects.get(name="Ride")
    url = at(world, "rigs:unit_figures", world.rig.pk, ride.pk)
    typed = {"base": str(world.rig.head_number), "pair_tolerance": shown}
    return as_user(world.engineer).post(url, typed)


def test_without_a_figure_10_mm_count_and_it_is_said(pair: World) -> None:
    told = findings(pair)
    assert NOT_EQUAL in told
    assert "Up to 10 mm counts as equal" in told


def test_a_wider_tolerance_takes_the_finding_away_and_a_tighter_one_names_itself(
    pair: World,
) -> None:
    assert set_tolerance(pair, "30").status_code == 302
    assert NOT_EQUAL not in findings(pair)
    set_tolerance(pair, "20")
    assert "Up to 20 mm counts as equal, as stated on Ride." in findings(pair)


def test_emptied_the_default_counts_again(pair: World) -> None:
    set_tolerance(pair, "30")
    set_tolerance(pair, "")
    assert not Fact.objects.live().filter(key="pair_tolerance").exists()
    assert "Up to 10 mm counts as equal" in findings(pair)


def test_more_than_a_metre_cannot_be(pair: World) -> None:
    response = set_tolerance(pair, "1001")
    assert response.context["form"].errors == {
        "pair_tolerance": ["Ensure this value is less than or equal to 1000."]
    }
    assert not Fact.objects.filter(key="pair_tolerance").exists()
