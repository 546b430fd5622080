"""Drafts where no service worker runs, as at an address without HTTPS: in the browser's storage."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from rigs.models import Input
from tests.support.pages import as_user
from tests.support.phones import wait_until
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser
DRAFTS = "Object.keys(localStorage).filter((key) => key.startsWith('draft ')).length"


def sign_in(page: Page, url: str, user: object) -> None:
    session = as_user(user).cookies["sessionid"].value  # type: ignore[arg-type]
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": url}])


def test_kept_until_saved_shown_to_nobody_else_and_gone_with_the_log_out(
    world: World, live_server: object, page: Page
) -> None:
    form = f"{live_server}{at(world, 'input_new')}"
    ready, said = page.locator("form[data-draft=ready]"), page.locator("[data-draft-said]")
    page.on("dialog", lambda dialog: dialog.accept())
    page.set_viewport_size({"width": 390, "height": 844})
    sign_in(page, str(live_server), world.tech)
    page.goto(form)
    expect(ready).to_be_visible()
    page.get_by_label("Name").fill("Snare")
    wait_until(page, f"{DRAFTS} === 1")
    page.goto(form)
    expect(said).to_contain_text("It is put back.")
    page.get_by_role("button", name="Save and add another").click()
    expect(page.get_by_text("“Snare” is added.")).to_be_visible()
    wait_until(page, f"{DRAFTS} === 0")
    expect(page.get_by_label("Name")).to_have_value("")
    assert Input.objects.filter(name="Snare").count() == 1
    page.get_by_label("Name").fill("Rack")
    wait_until(page, f"{DRAFTS} === 1")
    sign_in(page, str(live_server), world.engineer)
    page.goto(form)
    expect(ready).to_be_visible()
    expect(said).to_have_count(0)
    assert page.evaluate(DRAFTS) == 0
    page.get_by_label("Name").fill("Floor")
    wait_until(page, f"{DRAFTS} === 1")
    page.evaluate("document.querySelector('form[action=\"/logout/\"]').requestSubmit()")
    page.wait_for_url("**/login/**")
    assert page.evaluate(DRAFTS) == 0


def test_what_is_typed_before_the_draft_is_found_is_newer(
    world: World, live_server: object, page: Page
) -> None:
    """The worker is given three seconds; a thumb is quicker than that."""
    form = f"{live_server}{at(world, 'input_new')}"
    page.add_init_script("navigator.serviceWorker.register = () => new Promise(() => {})")
    sign_in(page, str(live_server), world.tech)
    page.goto(form)
    page.get_by_label("Name").fill("Snare")
    page.get_by_label("Phantom power on").check()
    page.wait_for_timeout(700)  # longer than the rest after which it is kept
    page.get_by_label("Name").fill("Rack")
    expect(page.locator("form[data-draft=ready]")).to_be_visible()
    expect(page.get_by_label("Name")).to_have_value("Rack")
    expect(page.locator("[data-draft-said]")).to_have_count(0)
    wait_until(page, f"{DRAFTS} === 1")
    page.goto(form)
    page.get_by_label("Name").fill("Floor")
    expect(page.locator("[data-draft-said]")).to_contain_text("It is put back.")
    expect(page.get_by_label("Name")).to_have_value("Floor")
    expect(page.get_by_label("Phantom power on")).to_be_checked()
