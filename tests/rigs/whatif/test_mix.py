"""Other air, or another distance to the mix position."""

from __future__ import annotations

from datetime import timedelta

import pytest

from core import clock
from core.models import Leg, Show
from rigs.whatif.air import Room
from rigs.whatif.mix import MOST_SHOWS, answer, rooms
from tests.support.world import World

THEN = Room("then: 50 m", 15, 20, None, 50)


def test_delay_and_bands_now_and_then() -> None:
    told = answer(Room("Dairy", 15, 50, None, 5), THEN)
    rows = {row[0]: row[1:] for row in told.tables[0].rows}
    # 15 °C: c = 343.2 sqrt(288.15 / 293.15) = 340.26 m/s (ISO 9613-1): 5 m 14.69 ms, 50 m 146.9.
    assert rows["Delay"] == ("14.7 ms", "146.9 ms")
    # ISO 9613-2 table 2 as printed: 129 and 202 dB/km at 8 kHz, 36.2 and 88.8 at 4 kHz.
    assert rows["8 kHz"] == ("−0.6 dB", "−10.1 dB")
    assert rows["4 kHz"] == ("−0.2 dB", "−4.4 dB")
    assert told.words.startswith("At 8 kHz 9.4 dB less, at 4 kHz 4.3 dB less")
    assert told.proposal is None


def test_what_is_not_measured_now_is_said_and_the_rest_told() -> None:
    told = answer(Room("Dairy", 15, None, None, None), THEN)
    assert told.problems == ("Dairy: humidity, distance not measured.",)
    assert told.words == ""
    assert told.tables[0].rows[-1] == ("8 kHz", "not known", "−10.1 dB")


def test_the_pressure_taken_for_granted_is_said() -> None:
    assert "101.325 kPa assumed" in answer(Room("Dairy"), THEN).assumes[1]
    stated = Room("then", 15, 20, 101.325, 50)
    assert len(answer(Room("Dairy"), stated).assumes) == 1


def test_nothing_can_be_told_of_a_room_that_is_not_whole() -> None:
    with pytest.raises(ValueError, match="Temperature, humidity and distance are needed."):
        answer(Room("Dairy"), Room("then", 15))


def test_a_show_asked_about_is_offered_however_far_off(world: World) -> None:
    today = clock.now().date()
    leg = Leg.objects.create(
        production=world.production, name="Long", starts_on=today, ends_on=today + timedelta(30)
    )
    shows = [
        Show.objects.create(leg=leg, held_on=today + timedelta(day), room=f"Room {day}")
        for day in range(1, MOST_SHOWS + 3)
    ]
    last = str(shows[-1].pk)
    assert last not in rooms(world.production, "")
    offered = list(rooms(world.production, last))
    assert last in offered
    assert str(shows[0].pk) in offered
    for nonsense in ("", "x", str(world.rig.pk)):
        assert str(shows[0].pk) in rooms(world.production, nonsense)
