"""The tour: its legs."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

import pytest

from core.clock import set_to
from core.models import Leg, Show
from core.services.tours import whereabouts
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world

COAST = {"name": "Coast", "starts_on": "2026-09-01", "ends_on": "2026-09-20", "notes": "By bus."}


def leg(world: World, name: str, starts: str, ends: str) -> Leg:
    return Leg.objects.create(
        production=world.production, name=name, starts_on=starts, ends_on=ends
    )


def test_list_says_what_runs(world: World) -> None:
    leg(world, "Coast", "2026-09-01", "2026-09-20")
    leg(world, "Spring", "2026-03-01", "2026-03-20")
    with set_to(datetime(2026, 9, 20, 12, tzinfo=UTC)):
        response = as_user(world.people["crew"]).get(at(world, "core:tour"))
    page = response.content.decode()
    assert [found.name for found in response.context["legs"]] == ["Spring", "Coast"]
    assert page.count("> over<") == 1
    assert page.count("> running<") == 1


def test_no_leg_yet(world: World) -> None:
    url = at(world, "core:tour")
    assert "Add the first leg" in as_user(world.engineer).get(url).content.decode()
    assert "Add the first leg" not in as_user(world.people["crew"]).get(url).content.decode()


@pytest.mark.parametrize("more", [1, 20])
def test_queries_do_not_grow(world: World, more: int, django_assert_num_queries: Any) -> None:
    for number in range(more):
        found = leg(world, f"Leg {number}", "2026-09-01", "2026-09-20")
        Show.objects.create(leg=found, held_on="2026-09-02", room="R")
    client = as_user(world.engineer)
    with django_assert_num_queries(3):
        assert "1 show" in client.get(at(world, "core:tour")).content.decode()


def test_add_a_leg(world: World) -> None:
    response = as_user(world.tech).post(at(world, "core:leg_new"), COAST, follow=True)
    made = Leg.objects.get()
    assert says(response) == ["Coast is saved."]
    assert response.redirect_chain == [(at(world, "core:leg", made.pk), 302)]
    assert (made.starts_on, made.ends_on) == (date(2026, 9, 1), date(2026, 9, 20))


def test_a_leg_cannot_end_before_it_starts(world: World) -> None:
    wrong = {**COAST, "ends_on": "2026-08-31"}
    response = as_user(world.tech).post(at(world, "core:leg_new"), wrong)
    assert response.context["form"].errors == {"__all__": ["A leg cannot end before it starts."]}
    assert 'value="2026-08-31"' in response.content.decode()
    assert not Leg.objects.exists()


def test_edit_and_retire(world: World) -> None:
    found = leg(world, "Coast", "2026-09-01", "2026-09-20")
    client = as_user(world.tech)
    form = client.get(at(world, "core:leg_edit", found.pk)).content.decode()
    assert 'type="date" name="starts_on" value="2026-09-01"' in form
    client.post(at(world, "core:leg_edit", found.pk), {**COAST, "name": "Shore", "version": 1})
    client.post(at(world, "core:leg_retire", found.pk))
    found.refresh_from_db()
    assert (found.name, found.is_retired) == ("Shore", True)
    assert client.get(at(world, "core:tour")).context["retired"] == [found]
    client.post(at(world, "core:leg_retire", found.pk), {"back": "1"})
    assert client.get(at(world, "core:tour")).context["legs"] == [found]


def test_who_may(world: World) -> None:
    found = leg(world, "Coast", "2026-09-01", "2026-09-20")
    urls = [
        at(world, "core:leg_new"),
        at(world, "core:leg_edit", found.pk),
        at(world, "core:leg_retire", found.pk),
    ]
    for url in urls:
        assert as_user(world.people["crew"]).post(url, COAST).status_code == 403
        assert as_user(world.outsider).post(url, COAST).status_code == 404


def test_legs_of_others_are_not_there(world: World) -> None:
    foreign = leg(make_world("Elsewhere"), "Away", "2026-09-01", "2026-09-20")
    for pk in (foreign.pk, uuid4()):
        for name in ("core:leg", "core:leg_edit", "core:show_new"):
            assert as_user(world.tech).get(at(world, name, pk)).status_code == 404


@pytest.mark.parametrize(
    ("day", "name", "runs", "room"),
    [
        (date(2026, 2, 1), "Spring", False, "First"),
        (date(2026, 3, 1), "Spring", True, "First"),
        (date(2026, 3, 20), "Spring", True, "Second"),  # the spring's last show is over
        (date(2026, 3, 21), "Coast", False, "Second"),
        (date(2026, 9, 2), "Coast", True, "Second"),  # the day itself still counts
        (date(2026, 9, 21), None, False, None),
    ],
)
def test_whereabouts(
    world: World, day: date, name: str | None, runs: bool, room: str | None
) -> None:
    spring = leg(world, "Spring", "2026-03-01", "2026-03-20")
    coast = leg(world, "Coast", "2026-09-01", "2026-09-20")
    Show.objects.create(leg=spring, held_on="2026-03-02", room="First")
    Show.objects.create(leg=coast, held_on="2026-09-02", room="Second")
    Show.objects.create(leg=coast, held_on="2026-09-01", room="Off").retire()
    found = whereabouts(production=world.production, on=day)
    assert (found.leg.name if found.leg else None, found.leg_runs) == (name, runs)
    assert (found.show.room if found.show else None) == room


def test_whereabouts_leave_retired_legs_out(world: World) -> None:
    gone = leg(world, "Coast", "2026-09-01", "2026-09-20")
    Show.objects.create(leg=gone, held_on="2026-09-02", room="Room")
    gone.retire()
    assert whereabouts(production=world.production, on=date(2026, 9, 1)) == (None, False, None)
