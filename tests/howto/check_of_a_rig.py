"""In a copy of the source that has one more check, of controls set to full: its page shows it."""

from __future__ import annotations

from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World


def test_it_is_found_on_the_page_and_goes_when_mended(world: World) -> None:
    tech = as_user(world.tech)
    page = Page(tech, at(world, "findings")).html
    assert "Is a control turned up all the way?" in page
    assert "is at its end" not in page
    world.turn("5:00")
    assert (
        f"{world.unit.name}: {world.control.name} is at its end"
        in Page(tech, at(world, "findings")).html
    )
    world.turn("2:30")
    assert "is at its end" not in Page(tech, at(world, "findings")).html
