"""No page that a crew opens on the way asks more of the database than so much, with one of
everything on record."""

from __future__ import annotations

from django.test import override_settings
from django.urls import reverse

from core.models import KeptResult, Leg
from tests.support.everything import fill
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World

MOST = 25
# Whoever looks first after something was written asks for all that is kept of it then.
AT_FIRST = {"leg": 41}


@override_settings(KEPT_CHECKED=False)
def test_pages_of_a_crew_keep_to_their_queries(world: World) -> None:
    fill(world)
    place, rig = world.production.pk, world.rig.pk
    pages = {
        "overview": at(world, "core:production"),
        "rig": at(world, "rigs:rig", rig),
        "input": reverse("rigs:input", args=[place, rig, world.input.pk]),
        "unit": reverse("rigs:unit", args=[place, rig, world.unit.pk]),
        "leg": at(world, "core:leg", Leg.objects.get().pk),
        **{p: at(world, f"rigs:rig_{p}", rig) for p in ("findings", "why", "open")},
    }
    client = as_user(world.engineer)
    for url in pages.values():
        client.get(url)
    asked = {name: queries_of(client, url) for name, url in pages.items()}
    assert {name: n for name, n in asked.items() if n > MOST} == {}
    KeptResult.objects.all().delete()
    first = {name: queries_of(client, pages[name]) for name in AT_FIRST}
    assert {name: n for name, n in first.items() if n > AT_FIRST[name]} == {}
