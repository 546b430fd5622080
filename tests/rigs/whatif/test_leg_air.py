"""The air of a leg's shows against the rehearsal room."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any
from uuid import uuid4
from xml.etree import ElementTree

import pytest

from core.models import Leg, RehearsalRoom, Show
from core.models.roles import Role
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

MEASURED = {"temperature_c": "15", "humidity_pct": "20", "mix_distance_m": "50"}


def make_leg(world: World) -> Leg:
    return Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-30"
    )


def make_show(leg: Leg, room: str = "Hempwalk", **more: Any) -> Show:
    return Show.objects.create(leg=leg, room=room, **{"held_on": "2026-09-02", **more})


def make_room(world: World, **more: Any) -> RehearsalRoom:
    values = {"temperature_c": "15", "humidity_pct": "50", "listening_distance_m": "5"} | more
    return RehearsalRoom.objects.create(production=world.production, name="Dairy", **values)


def read(world: World, leg: Leg, role: str = Role.CREW) -> str:
    response = as_user(world.people[role]).get(at(world, "rigs:leg_air", leg.pk))
    assert response.status_code == 200
    return str(response.content.decode())


def test_difference_in_words_delay_and_bands(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, **MEASURED)
    make_room(world)
    page = read(world, leg)
    # 8 kHz, ISO 9613-2 table 2 as printed: 202 dB/km over 50 m is 10.1 dB, 129 dB/km over 5 m
    # is 0.6 dB. 4 kHz: 88.8 and 36.2 dB/km; 2 kHz: 28.2 and 10.8 dB/km.
    assert "At 8 kHz 9.4 dB less, at 4 kHz 4.3 dB less, at 2 kHz 1.4 dB less than in" in page
    # 50 m at 343.2 sqrt(288.15 / 293.15) m/s (ISO 9613-1).
    assert "146.9 ms" in page
    assert "−10.1 dB" in page
    assert "The air only: the room, the audience, the loudspeakers" in page
    assert page.count("101.325 kPa assumed") == 2


def test_the_plot_keeps_to_the_security_policy_and_says_its_numbers(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, room="<script>alert(1)</script>", **MEASURED)
    page = read(world, leg)
    svg = re.search(r'<svg [^>]*class="drawing plot".*?</svg>', page, re.DOTALL)
    assert svg is not None
    drawn = ElementTree.fromstring(svg[0])  # noqa: S314 - our own
    tags = {element.tag.rpartition("}")[2] for element in drawn.iter()}
    assert not tags & {"script", "style"}
    assert not any("style" in element.attrib for element in drawn.iter())
    assert "8 kHz −10.1 dB" in "".join(drawn.itertext())
    assert "<script>alert(1)" not in page


def test_what_is_not_measured_is_said(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, **{**MEASURED, "humidity_pct": None})
    make_room(world, listening_distance_m=None)
    page = read(world, leg)
    assert "Hempwalk: humidity not measured." in page
    assert "The rehearsal room: distance not measured." in page
    assert "dB less" not in page
    assert "polyline" not in page


def test_cold_that_the_formulas_do_not_cover(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, **{**MEASURED, "temperature_c": "-25"})
    assert "Hempwalk: −25 °C lies outside −20 to 50 °C" in read(world, leg)


def test_no_rehearsal_room_is_said_and_offered_to_who_may_enter_it(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, **MEASURED)
    url = at(world, "core:rehearsal_room")
    assert "there is nothing to compare these rooms with" in read(world, leg)
    assert url not in read(world, leg, Role.CREW)
    assert f'href="{url}?leg={leg.pk}"' in read(world, leg, Role.MANAGER)
    # What the room itself does is known all the same.
    assert "−10.1 dB" in read(world, leg)


def test_no_show_yet_and_retired_shows_left_out(world: World) -> None:
    leg = make_leg(world)
    make_show(leg).retire()
    assert "No show yet" in read(world, leg)


@pytest.mark.parametrize("role", list(Role.values))
def test_every_member_reads(world: World, role: str) -> None:
    assert "The rooms’ air" in read(world, make_leg(world), role)


def test_outsiders_and_legs_of_others(world: World) -> None:
    leg, other = make_leg(world), make_leg(make_world("Other"))
    assert as_user(world.outsider).get(at(world, "rigs:leg_air", leg.pk)).status_code == 404
    client = as_user(world.engineer)
    assert client.get(at(world, "rigs:leg_air", other.pk)).status_code == 404
    assert client.get(at(world, "rigs:leg_air", uuid4())).status_code == 404


@pytest.mark.parametrize("size", [1, 10])
def test_queries_do_not_grow(world: World, size: int, django_assert_num_queries: Any) -> None:
    leg = make_leg(world)
    make_room(world)
    for day in range(size):
        make_show(leg, f"Room {day}", held_on=date(2026, 9, 1) + timedelta(day), **MEASURED)
    client = as_user(world.engineer)
    # Session with user, memberships; leg, rehearsal room, shows.
    with django_assert_num_queries(5):
        page = client.get(at(world, "rigs:leg_air", leg.pk)).content.decode()
    assert page.count("146.9 ms") == size


@pytest.mark.parametrize("size", [1, 10])
def test_the_page_of_the_leg_tells_it_too(
    world: World, size: int, django_assert_num_queries: Any
) -> None:
    leg = make_leg(world)
    make_room(world)
    for day in range(size):
        make_show(leg, f"Room {day}", **MEASURED)
    make_show(leg, "Unmeasured")
    client = as_user(world.engineer)
    # Session with user, memberships; leg with the rehearsal room, shows with their sets; lists,
    # upkeep, five of line checks (which rigs play); gear and deps of the shows, what was asked of
    # hire firms, mixes, changeovers, plots, links of the leg. Eleven to keep all that of the shows.
    with django_assert_num_queries(34):
        page = client.get(at(world, "core:leg", leg.pk)).content.decode()
    assert page.count("At 8 kHz 9.4 dB less") == size
    assert "Not known: Unmeasured: temperature, humidity, distance not measured." in page
    assert at(world, "rigs:leg_air", leg.pk) in page
