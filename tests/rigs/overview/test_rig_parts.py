"""What stands below the fold of a rig's page: a page of its own each, and a link in its place."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from tests.support.listening import hear, turn_for
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import at
from tests.support.world import World

PARTS = ("findings", "why", "open")
MOST = 25  # queries of any page


def url_of(world: World, part: str) -> str:
    return reverse(f"rigs:rig_{part}", args=[world.production.pk, world.rig.pk])


@pytest.mark.parametrize("part", PARTS)
def test_the_page_leads_to_each_and_says_where_it_goes(world: World, part: str) -> None:
    page = as_user(world.tech).get(at(world, "rig")).content.decode()
    place = re.search(rf'<section class="section" id="{part}"[^>]*data-part="([^"]*)"', page)
    assert place is not None
    assert place[1] == url_of(world, part)
    assert f'<a class="button button-quiet" href="{place[1]}"' in page


@pytest.mark.parametrize("part", PARTS)
def test_each_has_a_page_with_the_section_that_is_taken_from_it(world: World, part: str) -> None:
    page = as_user(world.people["crew"]).get(url_of(world, part)).content.decode()
    assert f'<section class="section" id="{part}" aria-labelledby="{part}-title"' in page
    assert world.rig.get_absolute_url() in page


@pytest.mark.parametrize("part", PARTS)
def test_each_has_a_fixed_number_of_queries(world: World, part: str) -> None:
    client, url = as_user(world.tech), url_of(world, part)
    heard(world, 2)
    client.get(url)
    few = queries_of(client, url)
    assert few <= MOST
    heard(world, 8)
    assert queries_of(client, url) == few


def heard(world: World, times: int) -> None:
    """Notes that are open, and changes that were made because of notes."""
    for number in range(times):
        hear(world)
        turn_for(world, f"{number % 4 + 1}:30", hear(world))
