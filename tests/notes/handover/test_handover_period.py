"""From when changes are counted."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.test import override_settings
from django.utils import timezone

from core.models import Leg
from notes.handover.content import content_of
from notes.handover.period import period_of
from notes.handover.state import find
from rigs.changes.edits import Set
from tests.notes.handover.support import AUTUMN, BEFORE, WINTER, legs, turn_at
from tests.support.world import World


def test_the_first_leg_counts_all_since_first_documentation(world: World) -> None:
    autumn, _ = legs(world)
    turn_at(world, BEFORE, "3:00")
    period = period_of(autumn)
    assert (period.previous, period.since) == (None, None)
    assert period.known([world.rig.pk]) == {world.rig.pk: 1}


def test_a_later_leg_counts_from_the_first_day_of_the_one_before(world: World) -> None:
    autumn, winter = legs(world)
    turn_at(world, BEFORE, "3:00")
    turn_at(world, AUTUMN, "4:00")
    turn_at(world, WINTER, "5:00")
    period = period_of(winter)
    assert (period.previous, period.since) == (autumn, datetime(2026, 9, 1, tzinfo=UTC))
    assert period.known([world.rig.pk]) == {world.rig.pk: 2}  # written down, and turned to 3:00


@pytest.mark.parametrize(
    ("at", "counted"),
    [(datetime(2026, 8, 31, 23, 59, 59, tzinfo=UTC), 0), (datetime(2026, 9, 1, tzinfo=UTC), 1)],
)
def test_the_day_begins_at_midnight(world: World, at: datetime, counted: int) -> None:
    _, winter = legs(world)
    turn_at(world, at, "3:00")
    world.rig.refresh_from_db()
    (known,) = period_of(winter).known([world.rig.pk]).values()
    assert world.rig.head_number - known == counted


def test_midnight_is_that_of_the_time_zone_of_the_settings(world: World) -> None:
    _, winter = legs(world)
    with override_settings(TIME_ZONE="Asia/Tokyo"):
        timezone.get_default_timezone.cache_clear()  # type: ignore[attr-defined]
        # Japan is at UTC+9 all year round.
        assert period_of(winter).since == datetime(2026, 8, 31, 15, tzinfo=UTC)
    timezone.get_default_timezone.cache_clear()  # type: ignore[attr-defined]


def test_retired_and_foreign_legs_are_not_the_one_before(world: World) -> None:
    autumn, winter = legs(world)
    between = Leg.objects.create(
        production=world.production,
        name="Called off",
        starts_on=date(2026, 10, 1),
        ends_on=date(2026, 10, 9),
    )
    assert period_of(winter).previous == between
    between.retire()
    assert period_of(winter).previous == autumn


def test_a_rig_written_down_since_says_so_and_lists_only_what_came_after(world: World) -> None:
    _, winter = legs(world)
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Darker."}))
    (section,) = content_of(find(winter))["sections"]
    (rig,) = section["rigs"]
    assert rig["is_new"]
    lines = [line for told in rig["changes"]["told"] for line in told["lines"]]
    assert [line["label"] for line in lines] == ["How it should sound"]
