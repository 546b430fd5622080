"""What is kept on a device follows the language that is chosen. The server is really stopped."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import Stage, go, path_of, phone_of, wait_until

pytestmark = pytest.mark.browser

# All pages that are kept, also those that nobody opened since.
ALL_IN_GERMAN = """(async () => {
  for (const name of (await caches.keys()).filter((each) => each.startsWith("kept "))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const answer = await cache.match(request);
      const isPage = answer.headers.get("Content-Type")?.includes("html");
      if (isPage && !(await answer.text()).includes('<html lang="de"')) return false;
    }
  }
  return true;
})()"""


def choose(page: Page, language: str) -> None:
    page.locator(".masthead-menu > summary").click()
    with page.expect_navigation():
        page.get_by_role("button", name=language).click()


def test_kept_pages_are_fetched_anew_in_the_language_that_is_chosen(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, "/kept/")
        choose(page, "Deutsch")
        html = page.locator("html")
        expect(html).to_have_attribute("lang", "de")
        wait_until(page, f"await {ALL_IN_GERMAN}")

        stage.server.stop()
        go(page, stage, stage.rig)
        expect(page.locator("[data-kept-notice]")).to_be_visible()
        expect(html).to_have_attribute("lang", "de")
        # Without the server no other one can be had: one stays on the page, as it was kept.
        choose(page, "English")
        assert path_of(page) == stage.rig
        expect(page.locator("[data-kept-notice]")).to_be_visible()
        expect(html).to_have_attribute("lang", "de")
