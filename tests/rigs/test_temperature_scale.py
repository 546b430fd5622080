"""Temperatures in °F for a person who prefers it, wherever one is shown or typed.

t/°F = 9/5 t/°C + 32 (NIST SP 811, B.8, from memory): 15 °C are 59 °F, 21.5 °C are 70.7 °F.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from core.models import RehearsalRoom, Show
from tests.rigs.checks.test_accepting import pair
from tests.rigs.whatif.test_leg_air import MEASURED, make_leg, make_room, make_show
from tests.rigs.whatif.test_what_if_page import AIR, move
from tests.support.pages import as_user, at, queries_of, says
from tests.support.world import World


@pytest.fixture
def american(world: World) -> World:
    world.engineer.temperature_scale = "F"
    world.engineer.save()
    return world


def shown(world: World, name: str, *more: Any, who: str = "engineer", **query: str) -> str:
    response = as_user(world.people[who]).get(at(world, name, *more), query)
    assert response.status_code == 200
    return str(response.content.decode())


def test_it_is_chosen_on_the_page_of_the_account(world: World) -> None:
    client, url = as_user(world.engineer), reverse("core:account")
    assert "checked" in client.get(url).content.decode().split('value="C"')[1][:40]
    sent = {"name": world.engineer.name, "temperature_scale": "F"}
    assert says(client.post(url, sent, follow=True)) == ["Your account is saved."]
    world.engineer.refresh_from_db()
    assert world.engineer.temperature_scale == "F"
    client.post(url, {"name": "Ada"})  # from a page that did not ask
    world.engineer.refresh_from_db()
    assert (world.engineer.name, world.engineer.temperature_scale) == ("Ada", "F")
    refused = client.post(url, {"name": "Ada", "temperature_scale": "K"})
    assert list(refused.context["form"].errors) == ["temperature_scale"]


def test_the_pages_of_a_leg(american: World) -> None:
    leg = make_leg(american)
    make_show(leg, **MEASURED)
    make_show(leg, room="Cold", temperature_c="-25", humidity_pct="30", mix_distance_m="40")
    make_show(leg, room="Gone", temperature_c="21.5").retire()
    make_room(american)
    card = shown(american, "core:leg", leg.pk)
    assert "59 °F" in card
    assert "70.7 °F" in card  # among the retired
    air = shown(american, "rigs:leg_air", leg.pk)
    assert "<dd>59 °F, 50 %" in air
    assert "Cold: −13 °F lies outside −4 to 122 °F" in air
    assert "°C" not in card + air
    assert "15 °C" in shown(american, "core:leg", leg.pk, who="tech")  # who prefers nothing
    air = shown(american, "rigs:leg_air", leg.pk, who="tech")
    assert "−25 °C lies outside −20 to 50 °C" in air


def test_the_pages_ask_the_database_nothing_more(world: World) -> None:
    leg = make_leg(world)
    make_show(leg, **MEASURED)
    client = as_user(world.engineer)
    urls = [at(world, name, leg.pk) for name in ("core:leg", "rigs:leg_air")]
    before = [queries_of(client, url) for url in urls]
    world.engineer.temperature_scale = "F"
    world.engineer.save()
    assert [queries_of(client, url) for url in urls] == before


def test_the_form_of_a_show(american: World) -> None:
    show = make_show(make_leg(american), temperature_c="21.5")
    client, url = as_user(american.engineer), at(american, "core:show_edit", show.pk)
    page = client.get(url).content.decode()
    assert "Temperature, °F" in page
    assert 'value="70.7 °F"' in page
    sent = {"room": "Hempwalk", "held_on": "2026-09-02", "version": "1"}
    client.post(url, sent | {"temperature_c": "70.7 °F"})
    show.refresh_from_db()
    assert show.temperature_c == Decimal("21.5")
    client.post(url, sent | {"temperature_c": "50", "version": "2"})  # of whose scale it is
    show.refresh_from_db()
    assert show.temperature_c == Decimal(10)
    refused = client.post(url, sent | {"temperature_c": "150", "version": "3"})
    assert refused.context["form"].errors["temperature_c"] == [
        "The air of a room has at most 140 °F."
    ]
    assert 'value="150"' in refused.content.decode()


def test_who_is_overtaken_sees_only_what_differs(american: World) -> None:
    show = make_show(make_leg(american), temperature_c="21.5")
    Show.objects.filter(pk=show.pk).update(room="Elsewhere", version=2)
    url = at(american, "core:show_edit", show.pk)
    sent = {"room": "Hempwalk", "held_on": "2026-09-02", "version": "1"}
    errors = [
        as_user(american.engineer)
        .post(url, sent | {"temperature_c": typed})
        .context["form"]
        .errors.get("temperature_c")
        for typed in ("70.7", "72")
    ]
    assert errors == [None, ["Now there: 70.7 °F"]]


def test_the_form_of_the_rehearsal_room(american: World) -> None:
    make_room(american)
    client, url = as_user(american.engineer), at(american, "core:rehearsal_room")
    assert 'value="59 °F"' in client.get(url).content.decode()
    sent = {"name": "Dairy", "temperature_c": "68", "version": "1"}
    client.post(url, sent)
    assert RehearsalRoom.objects.get().temperature_c == 20


def test_asking_what_if(american: World) -> None:
    make_room(american)
    world, rig = american, american.rig.pk
    blank = shown(world, "rigs:what_if", rig, about="air")
    assert 'value="59 °F"' in blank
    assert 'name="scale" value="F"' in blank
    asked = AIR | {"subject": "rehearsal", "scale": "F"}
    in_f = shown(world, "rigs:what_if", rig, **asked | {"celsius": "59"})
    in_c = shown(world, "rigs:what_if", rig, **asked | {"celsius": "15", "scale": "C"})
    for page in (in_f, in_c):
        assert "146.9 ms" in page  # 50 m at 343.2 sqrt(288.15 / 293.15) m/s (ISO 9613-1)
    refused = shown(world, "rigs:what_if", rig, **asked | {"celsius": "200"})
    assert "The formulas cover −4 to 122 °F." in refused


def test_an_address_means_the_same_to_whoever_opens_it(american: World) -> None:
    world, rig = american, american.rig.pk
    asked = move(world, "1 m")
    assert "Air at 68 °F" in shown(world, "rigs:what_if", rig, **asked)  # without a scale: 20 °C
    asked |= {"celsius": "68", "scale": "F"}
    page = shown(world, "rigs:what_if", rig, who="tech", **asked)
    assert "Air at 20.0 °C" in page
    assert "temperature, °F" in page


def test_the_sentences_of_findings(american: World) -> None:
    world = american
    make_show(make_leg(world), held_on="2100-09-02", temperature_c="30")
    pair(world)
    page = shown(world, "rigs:findings", world.rig.pk)
    assert "Air at 86 °F, as stated for the next show." in page
