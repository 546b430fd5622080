"""One new cable is what is usual between its ends unless somebody says otherwise."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID, uuid4

import pytest

from rigs.changes.edits import Add
from rigs.models import Link
from tests.support.pages import as_user
from tests.support.pages import at as address
from tests.support.rig_pages import Page, at
from tests.support.world import World


@pytest.fixture
def cabinet(world: World) -> UUID:
    cabinet = uuid4()
    world.record(Add(str(cabinet), "unit", {"name": "Cabinet", "gear": "cabinet"}))
    return cabinet


def test_between_head_and_cabinet_it_is_a_speaker_cable(world: World, cabinet: UUID) -> None:
    page = Page(as_user(world.tech), at(world, "link_new"))
    sent = page.send(source=str(world.unit.pk), target=str(cabinet), cable="blue")
    assert sent.status == 302
    link = Link.objects.get()
    assert (link.carries, link.cable, link.length_m) == ("speaker", "blue", Decimal("1.5"))


def test_what_is_said_counts_and_what_is_empty_then_stays_empty(
    world: World, cabinet: UUID
) -> None:
    page = Page(as_user(world.tech), at(world, "link_new"))
    page.send(source=str(world.unit.pk), target=str(cabinet), carries="line")
    link = Link.objects.get()
    assert (link.carries, link.cable, link.length_m) == ("line", "", None)


def test_without_both_ends_it_asks_for_them(world: World, cabinet: UUID) -> None:
    page = Page(as_user(world.tech), at(world, "link_new"))
    again = page.send(source=str(world.unit.pk))
    assert set(again.response.context["form"].errors) == {"target"}


def test_microphones_that_no_input_has_are_offered_first(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "input_new"))
    offered = list(page.response.context["form"].fields["device"].queryset)
    assert offered == [world.other_mic, world.mic]


def test_microphones_can_be_added_in_a_row(world: World) -> None:
    page = Page(as_user(world.engineer), address(world, "rigs:device_new"))
    assert "Save and add another" in page.html
    typed = {"name": "Skerry 5", "maker": "Corvane", "form": "mic", "principle": "dynamic"}
    sent = page.send(**typed, pattern="cardioid", another="1")
    assert sent.response.headers["Location"].split("?")[0] == page.url
