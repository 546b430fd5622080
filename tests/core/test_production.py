"""The front door of a production."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.http import HttpRequest
from django.test import Client

from core import places
from core.clock import set_to
from core.hooks import hooks_of
from core.models import Leg, Production, Show
from core.places import PRODUCTION, TO_DOS, Panel, ToDo
from tests.support.pages import as_user, at
from tests.support.world import World

OPENING = datetime(2026, 9, 2, 12, tzinfo=UTC)


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> None:
    """No app has plugged anything in."""
    for hook in hooks_of(places).values():
        monkeypatch.setattr(hook, "providers", [])


def tour(world: World) -> Show:
    leg = Leg.objects.create(
        production=world.production, name="Coast", starts_on="2026-09-01", ends_on="2026-09-20"
    )
    return Show.objects.create(
        leg=leg,
        held_on="2026-09-04",
        room="Old Hempwalk",
        town="Quernel Bay",
        mix_distance_m="24.5",
    )


def front_door(world: World) -> Any:
    with set_to(OPENING):
        return as_user(world.engineer).get(at(world, "core:production"))


def test_shows_where_the_tour_is(world: World) -> None:
    show = tour(world)
    page = front_door(world).content.decode()
    assert "This leg" in page
    assert show.leg.get_absolute_url() in page
    assert "Old Hempwalk" in page
    assert "Fri 4 Sep 2026" in page
    assert "Quernel Bay" in page
    assert "24.5 m (80.4 ft)" in page
    assert at(world, "notes:handover", show.leg.pk) in page


def test_on_the_day_it_is_tonight(world: World) -> None:
    show = tour(world)
    page = front_door(world)
    assert (page.context["show"], "Next show" in page.content.decode()) == (show, True)
    Show.objects.update(held_on=OPENING.date())
    text = front_door(world).content.decode()
    assert "Tonight" in text
    # What a crew came for: the lists of that one show.
    for name in ("rigs:show_inputs", "rigs:show_pack", "notes:line_check"):
        assert at(world, name, show.pk) in text


def test_the_menu_is_not_repeated(world: World) -> None:
    """An address of the menu stands in the two menus alone, other than those that wait."""
    tour(world)
    text = front_door(world).content.decode()
    for name in ("core:songs", "notes:trials", "notes:clips", "rigs:devices", "core:search"):
        assert text.count(f'href="{at(world, name)}"') == 2, name


def test_without_a_leg_offers_to_add_one(world: World) -> None:
    page = front_door(world).content.decode()
    assert "No leg runs or is to come." in page
    assert at(world, "core:leg_new") in page


def test_crew_are_not_offered_what_they_may_not(world: World) -> None:
    page = as_user(world.people["crew"]).get(at(world, "core:production")).content.decode()
    assert at(world, "core:leg_new") not in page
    assert at(world, "core:production_edit") not in page


def test_outsiders_learn_nothing(world: World, client: Client) -> None:
    assert as_user(world.outsider).get(at(world, "core:production")).status_code == 404
    assert client.get(at(world, "core:production")).status_code == 302


def test_panels_of_other_apps_are_shown(world: World, bare: None) -> None:
    def provider(request: HttpRequest, production: Production) -> Panel:
        return Panel("core/_empty.html", {})

    PRODUCTION.add(provider)
    PRODUCTION.add(lambda request, production: None)
    response = front_door(world)
    assert response.context["panels"] == [Panel("core/_empty.html", {})]


def test_to_dos_of_other_apps_are_shown(world: World, bare: None) -> None:
    to_do = ToDo("Sign the bass rig", "/somewhere/", "send")
    TO_DOS.add(lambda user, members: {m.production.pk: [to_do] for m in members})
    page = front_door(world).content.decode()
    assert 'href="/somewhere/"' in page
    assert "Sign the bass rig" in page


def test_queries_do_not_grow_with_the_tour(
    world: World, bare: None, django_assert_max_num_queries: Any
) -> None:
    client = as_user(world.engineer)
    url = at(world, "core:production")
    tour(world)
    # Twelve of these to look for the card of the show and to keep it, as after every change.
    with django_assert_max_num_queries(17), set_to(OPENING):
        client.get(url)
    for _ in range(10):
        tour(world)
    with django_assert_max_num_queries(17), set_to(OPENING):
        client.get(url)
