"""Numbers are given without losing any, nor what somebody else numbered meanwhile."""

from __future__ import annotations

from collections import Counter
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from rigs.changes.edits import Add, Retire, Set
from rigs.lists.input_list import inputs_of
from rigs.lists.renumber import NumbersClash, renumber
from rigs.models import Input
from tests.support.posting import shown
from tests.support.world import HIRE, World, make_world


@pytest.fixture
def second(world: World) -> Input:
    made = str(uuid4())
    world.record(Add(made, "input", {"name": "Bass DI", "number": 8}))
    return Input.objects.get(pk=made)


def url(world: World) -> str:
    return reverse("rigs:input_numbers", args=[world.production.pk])


def numbers() -> dict[str, int | None]:
    return dict(Input.objects.values_list("name", "number"))


def test_without_inputs_there_is_nothing_to_save(world: World, tech: Client) -> None:
    world.record(Retire(str(world.input.pk), "input"), reason=HIRE)
    page = tech.get(url(world)).content.decode()
    assert "No input yet" in page
    assert "Save the numbers" not in page


def test_what_i_did_not_touch_keeps_what_another_gave_it(
    world: World, second: Input, tech: Client
) -> None:
    sent = shown(tech.get(url(world)).content.decode())
    world.record(Set(str(second.pk), "input", {"number": 20}))
    tech.post(url(world), sent | {f"number_{world.input.pk}": "3"})
    assert numbers() == {"Bass mic": 3, "Bass DI": 20}


def test_both_numbered_the_same_input(world: World, second: Input, tech: Client) -> None:
    sent = shown(tech.get(url(world)).content.decode())
    world.record(Set(str(second.pk), "input", {"number": 20}))
    mine = {f"number_{second.pk}": "9", f"number_{world.input.pk}": "3"}
    response = tech.post(url(world), sent | mine)
    page = response.content.decode()
    assert response.status_code == 409
    assert "Now there: 20. Save again to keep yours." in page
    assert numbers() == {"Bass mic": 7, "Bass DI": 20}  # nothing by halves
    again = shown(page)
    assert (again[f"number_{second.pk}"], again[f"number_{world.input.pk}"]) == ("9", "3")
    tech.post(url(world), again)
    assert numbers() == {"Bass mic": 3, "Bass DI": 9}


def test_an_input_that_came_meanwhile_keeps_its_number(world: World, tech: Client) -> None:
    sent = shown(tech.get(url(world)).content.decode())
    world.record(Add(str(uuid4()), "input", {"name": "Late", "number": 30}))
    tech.post(url(world), sent | {f"number_{world.input.pk}": "3"})
    assert numbers() == {"Bass mic": 3, "Late": 30}


def test_an_error_keeps_the_order_it_was_put_in(world: World, second: Input, tech: Client) -> None:
    typed = {f"number_{second.pk}": "x", f"number_{world.input.pk}": "8"}
    page = tech.post(url(world), typed).content.decode()
    assert page.index(f"number_{second.pk}") < page.index(f"number_{world.input.pk}")


def test_numbering_from_one_goes_by_the_order_it_was_put_in(
    world: World, second: Input, tech: Client
) -> None:
    sent = {f"number_{second.pk}": "8", f"number_{world.input.pk}": "7", "in_order": "1"}
    tech.post(url(world), sent)
    assert numbers() == {"Bass DI": 1, "Bass mic": 2}


def test_clashes_of_all_rigs_come_at_once(world: World, second: Input) -> None:
    base = {world.rig.pk: second.rig.head_number}
    world.record(
        Set(str(second.pk), "input", {"number": 20}),
        Set(str(world.input.pk), "input", {"number": 21}),
    )
    found = inputs_of(world.production)
    wanted = {str(entry.pk): 40 + at for at, entry in enumerate(found)}
    with pytest.raises(NumbersClash) as refused:
        renumber(inputs=found, numbers=wanted, by=world.tech, bases=base)
    assert {clash.now for clash in refused.value.clashes} == {20, 21}


class Permuting(TestCase):
    @settings(max_examples=40)
    @given(st.data())
    def test_a_rearrangement_keeps_the_numbers_that_are_used(self, data: Any) -> None:
        world = make_world()
        given_numbers = data.draw(st.lists(st.none() | st.integers(1, 99), max_size=8))
        parts = [
            Add(str(uuid4()), "input", {"name": f"I{at}", "number": number})
            for at, number in enumerate(given_numbers)
        ]
        if parts:
            world.record(*parts)
        found = inputs_of(world.production)
        order = data.draw(st.permutations(found))
        # As the page does it: the numbers keep their places, the inputs move.
        wanted = {str(to.pk): here.number for here, to in zip(found, order, strict=True)}
        renumber(inputs=found, numbers=wanted, by=world.tech)
        now = {str(e.pk): e.number for e in inputs_of(world.production)}
        assert Counter(now.values()) == Counter(e.number for e in found)
        assert now == wanted
