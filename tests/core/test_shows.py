"""A leg's page and its shows."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from core.models import Leg, Show
from tests.support.pages import as_user, at, queries_of, says
from tests.support.world import World, make_world

TYPED = {
    "held_on": "2026-09-04",
    "room": "Old Hempwalk",
    "town": "Quernel Bay",
    "temperature_c": "21.5",
    "humidity_pct": "48",
    "mix_distance_m": "80 ft",
}


def make_leg(world: World) -> Leg:
    return Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )


@pytest.fixture
def leg(world: World) -> Leg:
    return make_leg(world)


def test_shows_are_in_order_of_date_with_air_and_distance(world: World, leg: Leg) -> None:
    Show.objects.create(leg=leg, held_on="2026-09-09", room="Later")
    client = as_user(world.tech)
    response = client.post(at(world, "core:show_new", leg.pk), TYPED, follow=True)
    assert says(response) == ["4 Sep 2026 · Old Hempwalk is saved."]
    assert response.redirect_chain == [(at(world, "core:leg", leg.pk), 302)]
    assert [show.room for show in response.context["shows"]] == ["Old Hempwalk", "Later"]
    page = response.content.decode()
    assert "21.5 °C</span>, " in page
    assert "48 %</span>" in page
    assert "80 ft (24.38 m)" in page  # 80 × 0.3048 = 24.384 (NIST SP 811)
    assert at(world, "notes:handover", leg.pk) in page


def test_distance_is_kept_in_metres_with_its_unit(world: World, leg: Leg) -> None:
    as_user(world.tech).post(at(world, "core:show_new", leg.pk), TYPED)
    show = Show.objects.get()
    assert (show.mix_distance_m, show.mix_distance_unit) == (Decimal("24.384"), "ft")
    assert (show.temperature_c, show.humidity_pct) == (Decimal("21.5"), Decimal("48"))


def test_a_new_show_starts_with_the_day_of_the_leg(world: World, leg: Leg) -> None:
    page = as_user(world.tech).get(at(world, "core:show_new", leg.pk)).content.decode()
    assert 'name="held_on" value="2026-09-01"' in page


@pytest.mark.parametrize(
    ("changed", "errors"),
    [
        ({"room": ""}, {"room": ["This field is required."]}),
        ({"held_on": "soon"}, {"held_on": ["Enter a valid date."]}),
        (
            {"humidity_pct": "101"},
            {"humidity_pct": ["Ensure this value is less than or equal to 100."]},
        ),
        (
            {"temperature_c": "70"},
            {"temperature_c": ["The air of a room has at most 60 °C."]},
        ),
        (
            {"mix_distance_m": "back row"},
            {"mix_distance_m": ["“back row” is not a length. Write 35 mm, 1.2 m or 2 1/2 in."]},
        ),
    ],
)
def test_says_what_is_wrong_and_keeps_the_rest(
    world: World, leg: Leg, changed: Any, errors: Any
) -> None:
    response = as_user(world.tech).post(at(world, "core:show_new", leg.pk), TYPED | changed)
    assert response.status_code == 200
    assert response.context["form"].errors == errors
    assert 'value="Quernel Bay"' in response.content.decode()
    assert not Show.objects.exists()


def test_edit_retire_and_bring_back(world: World, leg: Leg) -> None:
    show = Show.objects.create(leg=leg, held_on="2026-09-09", room="Barn")
    client = as_user(world.people["manager"])
    client.post(at(world, "core:show_edit", show.pk), {**TYPED, "version": 1})
    client.post(at(world, "core:show_retire", show.pk))
    context = client.get(at(world, "core:leg", leg.pk)).context
    assert (context["shows"], context["retired"]) == ([], [show])
    client.post(at(world, "core:show_retire", show.pk), {"back": "1"})
    shows = client.get(at(world, "core:leg", leg.pk)).context["shows"]
    assert [found.room for found in shows] == ["Old Hempwalk"]


def test_who_may(world: World, leg: Leg) -> None:
    show = Show.objects.create(leg=leg, held_on="2026-09-09", room="Barn")
    urls = [
        at(world, "core:show_new", leg.pk),
        at(world, "core:show_edit", show.pk),
        at(world, "core:show_retire", show.pk),
    ]
    for url in urls:
        assert as_user(world.people["crew"]).post(url, TYPED).status_code == 403
        assert as_user(world.outsider).post(url, TYPED).status_code == 404
    page = as_user(world.people["crew"]).get(at(world, "core:leg", leg.pk)).content.decode()
    assert not any(url in page for url in urls)


def test_shows_of_others_are_not_there(world: World) -> None:
    foreign = Show.objects.create(
        leg=make_leg(make_world("Elsewhere")), held_on="2026-09-09", room="Barn"
    )
    client = as_user(world.tech)
    assert client.get(at(world, "core:show_edit", foreign.pk)).status_code == 404
    assert client.post(at(world, "core:show_retire", foreign.pk)).status_code == 404


def test_queries_do_not_grow(world: World, leg: Leg) -> None:
    client, url = as_user(world.engineer), at(world, "core:leg", leg.pk)
    Show.objects.create(leg=leg, held_on="2026-09-02", room="R")
    one = queries_of(client, url)
    for _ in range(19):
        Show.objects.create(leg=leg, held_on="2026-09-02", room="R")
    assert queries_of(client, url) == one
