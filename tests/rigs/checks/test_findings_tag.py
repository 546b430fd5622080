"""Findings on the pages of a rig, a unit and an input."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.changes.edits import Retire
from rigs.models import Input
from tests.rigs.checks.test_accepting import accept, pair
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World

TITLE = "OH left and OH right are not equally far from the snare"


@pytest.fixture
def found(world: World) -> World:
    pair(world)
    return world


def text_of(world: World, name: str, *more: Any) -> str:
    return as_user(world.engineer).get(at(world, name, world.rig.pk, *more)).content.decode()


def test_the_rig_lists_them_and_leads_to_each(found: World) -> None:
    text = text_of(found, "rigs:rig_findings")
    assert TITLE in text
    assert f"{at(found, 'rigs:findings', found.rig.pk)}#finding-" in text
    assert "Accept with these words" not in text


def test_an_input_shows_those_about_it_whole(found: World) -> None:
    text = text_of(found, "rigs:input", Input.objects.get(name="OH left").pk)
    assert TITLE in text
    assert "Accept with these words" in text
    assert TITLE not in text_of(found, "rigs:input", found.input.pk)


def test_a_unit_shows_what_it_lacks(found: World) -> None:
    text = text_of(found, "rigs:unit", found.unit.pk)
    assert "level at the microphone of Head" in text
    assert TITLE not in text


def test_what_was_accepted_is_counted_and_not_listed(found: World) -> None:
    accept(found)
    text = text_of(found, "rigs:rig_findings")
    assert TITLE not in text
    assert "1 accepted" in text


def test_a_retired_input_has_none(found: World) -> None:
    found.record(Retire(str(found.input.pk), "input"), reason=HIRE)
    assert 'id="findings-title"' not in text_of(found, "rigs:input", found.input.pk)
