"""Things of the stage plot are dragged to their places, and the form saves the metres."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from rigs.models import PlotPlace, Riser, StageSize
from tests.support.pages import as_user, at
from tests.support.world import World

pytestmark = pytest.mark.browser


def test_a_riser_is_dragged_and_its_metres_are_saved(
    world: World, live_server: Any, page: Page
) -> None:
    StageSize.objects.create(production=world.production, width_m="10", depth_m="8")
    riser = Riser.objects.create(
        production=world.production, name="Drums", width_m="2", depth_m="2", right_m="0", up_m="5"
    )
    on_it = PlotPlace.objects.create(
        production=world.production, player=world.player, right_m="0.5", up_m="5.5"
    )
    session = as_user(world.tech).cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page.goto(f"{live_server}{at(world, 'rigs:plot_places')}")
    held = page.locator(f'[data-thing="riser-{riser.pk}"]')
    stage = page.locator(".plot-stage").bounding_box()
    place = held.locator("rect").bounding_box()
    assert stage is not None
    assert place is not None
    # What a metre is on this screen is read off the stage, which is 10 m wide.
    metre = stage["width"] / 10
    x, y = place["x"] + place["width"] / 4, place["y"] + place["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 2 * metre, y - metre, steps=4)
    page.mouse.up()
    # To the right of the sheet is to stage left.
    right = page.get_by_label("Drums, to stage right")
    expect(right).to_have_value("-2 m")
    page.keyboard.press("ArrowLeft")
    expect(right).to_have_value("-1.9 m")
    expect(page.locator("[data-plot-said]")).to_have_text("Drums: 1.9 m stage left, 6 m upstage")
    expect(page.get_by_label(f"{world.player}, to stage right")).to_have_value("-1.4 m")
    page.keyboard.press("r")
    expect(page.get_by_label("Drums, faces")).to_have_value("15° stage right")
    page.get_by_role("button", name="Save places").click()
    places = ["1.9 m stage left, 6 m upstage, faces 15° stage right"]
    expect(page.locator(".plot-place")).to_have_text([*places, "1.4 m stage left, 6.5 m upstage"])
    riser.refresh_from_db()
    assert (str(riser.right_m), str(riser.up_m), riser.faces) == ("-1.900000000", "6.000000000", 15)
    on_it.refresh_from_db()
    assert (str(on_it.right_m), str(on_it.up_m)) == ("-1.400000000", "6.500000000")
