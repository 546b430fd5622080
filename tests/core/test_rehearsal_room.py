"""Entering the rehearsal room: the reference of the rooms of a tour."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError

from core.forms.base import EditForm
from core.models import Leg, RehearsalRoom
from core.models.roles import Role
from tests.support.pages import as_user, at, says
from tests.support.posting import shown
from tests.support.world import World, make_world

TYPED = {
    "name": "Dairy",
    "temperature_c": "19.5",
    "humidity_pct": "45",
    "pressure_kpa": "99.8",
    "listening_distance_m": "12 ft",
    "version": "0",
}


def post(world: World, role: str = Role.MANAGER, query: str = "", **changed: str) -> Any:
    client = as_user(world.people[role])
    return client.post(at(world, "core:rehearsal_room") + query, TYPED | changed, follow=True)


def test_enter_it(world: World) -> None:
    response = post(world)
    assert says(response) == ["Dairy is saved as the rehearsal room."]
    assert response.redirect_chain == [(at(world, "core:tour"), 302)]
    room = world.production.rehearsal_room  # type: ignore[attr-defined]
    assert (room.temperature_c, room.humidity_pct) == (Decimal("19.5"), Decimal("45"))
    assert (room.pressure_kpa, str(room)) == (Decimal("99.8"), "Dairy")
    assert (room.listening_distance_m, room.listening_distance_unit) == (Decimal("3.6576"), "ft")


def test_a_temperature_in_fahrenheit(world: World) -> None:
    """68 °F are 20 °C (NIST SP 811, B.8)."""
    post(world, temperature_c="68 °F")
    assert world.production.rehearsal_room.temperature_c == Decimal("20.0")  # type: ignore[attr-defined]


def test_back_to_the_leg_one_came_from(world: World) -> None:
    leg = Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )
    assert post(world, query=f"?leg={leg.pk}").redirect_chain == [(leg.get_absolute_url(), 302)]


def test_a_leg_of_others_is_no_way_back(world: World) -> None:
    other = Leg.objects.create(
        production=make_world("Other").production,
        name="X",
        starts_on="2026-09-01",
        ends_on="2026-09-20",
    )
    for leg in (other.pk, "nonsense"):
        RehearsalRoom.objects.all().delete()
        assert post(world, query=f"?leg={leg}").redirect_chain == [(at(world, "core:tour"), 302)]


@pytest.mark.parametrize(
    ("typed", "field", "error"),
    [
        ({"name": ""}, "name", "This field is required."),
        (
            {"temperature_c": "-31"},
            "temperature_c",
            "The air of a room has at least −30 °C.",
        ),
        (
            {"humidity_pct": "100.1"},
            "humidity_pct",
            "Ensure this value is less than or equal to 100.",
        ),
        (
            {"pressure_kpa": "1013"},
            "pressure_kpa",
            "Ensure this value is less than or equal to 110.",
        ),
        (
            {"pressure_kpa": "0"},
            "pressure_kpa",
            "Ensure this value is greater than or equal to 50.",
        ),
        ({"pressure_kpa": "high"}, "pressure_kpa", "Enter a number."),
        (
            {"listening_distance_m": "-1 m"},
            "listening_distance_m",
            "A distance cannot be negative.",
        ),
        (
            {"listening_distance_m": "1e9"},
            "listening_distance_m",
            "“1e9”: unknown unit “e”. Use mm, cm, m, in or ft.",
        ),
    ],
)
def test_what_cannot_be(world: World, typed: dict[str, str], field: str, error: str) -> None:
    response = post(world, **typed)
    assert response.status_code == 200
    assert response.context["form"].errors[field] == [error]
    assert response.context["form"][field].value() == typed[field]
    assert not RehearsalRoom.objects.exists()


def test_nothing_need_be_measured(world: World) -> None:
    nothing = dict.fromkeys(set(TYPED) - {"name", "version"}, "")
    post(world, **nothing)
    room = RehearsalRoom.objects.get()
    assert (room.temperature_c, room.listening_distance_m) == (None, None)


def test_who_entered_it_meanwhile_is_noticed(world: World) -> None:
    post(world)
    response = post(world, Role.TECH, name="Barn")
    assert EditForm.stale_message in response.context["form"].non_field_errors()
    assert response.context["form"].errors["name"] == ["Now there: Dairy"]
    assert RehearsalRoom.objects.get().name == "Dairy"


def test_two_at_the_same_moment(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    def lost(*args: Any, **more: Any) -> None:
        raise IntegrityError

    monkeypatch.setattr(RehearsalRoom, "save", lost)
    response = post(world)
    assert response.context["form"].non_field_errors() == [EditForm.stale_message]


def test_change_it(world: World) -> None:
    post(world)
    client = as_user(world.engineer)
    page = client.get(at(world, "core:rehearsal_room")).content.decode()
    typed = shown(page)
    assert typed["listening_distance_m"] == "12 ft"
    client.post(at(world, "core:rehearsal_room"), typed | {"name": "Barn"})
    assert (RehearsalRoom.objects.get().name, RehearsalRoom.objects.get().version) == ("Barn", 2)


def test_who_may(world: World) -> None:
    url = at(world, "core:rehearsal_room")
    answers = {role: as_user(user).get(url).status_code for role, user in world.people.items()}
    may = {"engineer", "tech", "manager"}
    assert answers == {role: 200 if role in may else 403 for role in world.people}
    assert as_user(world.outsider).get(url).status_code == 404
