"""Figures are typed in the units crews use, kept in SI, and merge like everything else."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from rigs.changes.edits import Add, Set
from rigs.models import Fact, Revision
from tests.support.world import World

FACT = "00000000-0000-4000-8000-0000000000fa"


@pytest.fixture
def url(world: World) -> str:
    return reverse("rigs:unit_figures", args=[world.production.pk, world.rig.pk, world.unit.pk])


@pytest.fixture
def tech(world: World, client: Client) -> Client:
    client.force_login(world.tech)
    return client


def known(world: World) -> None:
    fields = {"unit": str(world.unit.pk), "key": "tap_impedance", "value": "8"}
    world.record(Add(FACT, "fact", fields))


def send(client: Client, url: str, base: int, **typed: str) -> Any:
    return client.post(url, {"base": str(base), **typed})


def test_a_figure_is_kept_in_si(world: World, tech: Client, url: str) -> None:
    response = send(tech, url, 1, input_impedance="1000", source="maker’s sheet")
    assert response.status_code == 302
    fact = Fact.objects.get()
    assert (fact.key, fact.value, fact.source) == (
        "input_impedance",
        Decimal(1_000_000),
        "maker’s sheet",
    )


def test_it_comes_back_as_it_was_typed(world: World, tech: Client, url: str) -> None:
    send(tech, url, 1, input_impedance="47.5")
    assert 'value="47.5"' in tech.get(url).content.decode()


def test_an_emptied_figure_leaves_the_rig(world: World, tech: Client, url: str) -> None:
    known(world)
    send(tech, url, 2, tap_impedance="")
    assert Fact.objects.get().retired is True


def test_nothing_different_writes_nothing(world: World, tech: Client, url: str) -> None:
    known(world)
    send(tech, url, 2, tap_impedance="8")
    assert Revision.objects.count() == 2


def test_a_figure_that_cannot_be_is_refused_there(world: World, tech: Client, url: str) -> None:
    response = send(tech, url, 1, tap_impedance="-8", output_power="60")
    assert response.status_code == 200
    page = response.content.decode()
    assert "greater than or equal to 0.5" in page
    assert 'value="60"' in page
    assert not Fact.objects.exists()


def test_two_people_set_one_figure(world: World, tech: Client, url: str) -> None:
    known(world)
    world.record(Set(FACT, "fact", {"value": "16"}), author=world.engineer)
    response = send(tech, url, 2, tap_impedance="4", output_power="60")
    assert response.status_code == 409
    page = response.content.decode()
    assert "Someone else changed this" in page
    chosen = {"asked-tap_impedance": "2", "choice-tap_impedance": "typed"}
    again = send(tech, url, 3, tap_impedance="4", output_power="60", **chosen)
    assert again.status_code == 302
    assert {f.key: f.value for f in Fact.objects.all()} == {
        "tap_impedance": Decimal(4),
        "output_power": Decimal(60),
    }
