"""The page where a day's levels and hours are entered."""

from __future__ import annotations

from typing import Any

import pytest

from core.models.roles import Role
from tests.support.pages import as_user, at
from tests.support.world import World

DAY = {"ask": "1", "level_1": "94", "hours_1": "0:30", "level_2": "100", "hours_2": "0.25"}


def ask(world: World, role: str = Role.CREW, **query: str) -> Any:
    response = as_user(world.people[role]).get(at(world, "rigs:exposure"), query)
    assert response.status_code == 200
    return response


def test_before_anything_is_asked(world: World) -> None:
    response = ask(world)
    told = response.content.decode()
    assert not response.context["form"].is_bound
    assert "Guidance for planning, not a limit to play up to" in told
    assert "Local law decides" in told
    assert "This day" not in told


def test_a_day_is_answered_with_the_caution(world: World) -> None:
    told = ask(world, **DAY).content.decode()
    # NIOSH 98-126: 1 h at 94 dBA, 15 min at 100 dBA, half and all of it used: 150 %.
    assert "150 % by NIOSH, 23 % by OSHA" in told
    assert "Local law decides" in told
    assert "style=" not in told
    assert 'value="0:30"' in told


@pytest.mark.parametrize(
    ("typed", "field", "error"),
    [
        ({"level_1": "94", "hours_1": ""}, "hours_1", "The level and the time go together."),
        ({"level_1": "", "hours_1": "2"}, "level_1", "The level and the time go together."),
        (
            {"level_1": "150", "hours_1": "2"},
            "level_1",
            "Ensure this value is less than or equal to 140.",
        ),
        ({"level_1": "nan", "hours_1": "2"}, "level_1", "Enter a number."),
        ({"level_1": "94", "hours_1": "long"}, "hours_1", "Write hours as 1.5 or 1:30."),
        ({"level_1": "94", "hours_1": "1:75"}, "hours_1", "Write hours as 1.5 or 1:30."),
        ({"level_1": "94", "hours_1": "-1"}, "hours_1", "Write hours as 1.5 or 1:30."),
        ({"level_1": "94", "hours_1": "0"}, "hours_1", "More than 0 and at most 24 hours."),
        ({"level_1": "94", "hours_1": "25"}, "hours_1", "More than 0 and at most 24 hours."),
        ({}, "__all__", "Enter at least one level and its time."),
        (
            {"level_1": "94", "hours_1": "20", "level_2": "80", "hours_2": "5"},
            "__all__",
            "A day has 24 hours; these make 25 h 0 min.",
        ),
    ],
)
def test_days_that_cannot_be(world: World, typed: dict[str, str], field: str, error: str) -> None:
    response = ask(world, ask="1", **typed)
    assert response.context["form"].errors == {field: [error]}
    assert response.context["answer"] is None
    assert error in response.content.decode()
    for name, value in typed.items():
        assert response.context["form"][name].value() == value


@pytest.mark.parametrize("hours", ["1.5", "1,5", "1:30", "01:30"])
def test_hours_as_crews_write_them(world: World, hours: str) -> None:
    form = ask(world, ask="1", level_1="94", hours_1=hours).context["form"]
    assert form.stretches() == [(94.0, 5400.0)]


@pytest.mark.parametrize("role", list(Role.values))
def test_every_member_reads_and_finds_it_on_the_tour(world: World, role: str) -> None:
    assert ask(world, role, **DAY).context["answer"]
    tour = as_user(world.people[role]).get(at(world, "core:tour")).content.decode()
    assert at(world, "rigs:exposure") in tour


def test_outsiders_and_writing(world: World) -> None:
    url = at(world, "rigs:exposure")
    assert as_user(world.outsider).get(url).status_code == 404
    assert as_user(world.engineer).post(url, DAY).status_code == 405


def test_nothing_is_read_but_who_asks(world: World, django_assert_num_queries: Any) -> None:
    client = as_user(world.engineer)
    with django_assert_num_queries(2):  # session with user, memberships
        client.get(at(world, "rigs:exposure"), DAY)
