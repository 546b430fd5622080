"""Without a network the installed app starts with what is kept, the next show first."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import Phone, Stage, check_page, go, path_of, phone_of, wait_until
from tests.support.server_process import WORKER_BEGINS

pytestmark = pytest.mark.browser

SHOWS = """
from datetime import date, timedelta
from core.models import Leg, Show
leg = Leg.objects.get()
for days, room in ((5, "Granary"), (2, "Cellar")):
    Show.objects.create(leg=leg, held_on=date.today() + timedelta(days), room=room)
print("null")
"""
# A list that may take less than one photo.
SMALL = """
self.fetch = new Proxy(self.fetch, { async apply(fetch, self, [what, ...more]) {
  const answer = await fetch(what, ...more);
  if (!String(what.url ?? what).endsWith("/keep/")) return answer;
  return new Response(JSON.stringify({ ...(await answer.json()), budget: 1000 }));
} });
"""


def test_it_starts_with_the_next_show_and_leads_to_all_that_is_kept(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    stage.server.run(SHOWS)
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (phone, page):
        own = stage.world["users"]["crew"]
        wait_until(page, f"!!await caches.match('/', {{cacheName: 'own {own}'}})")
        go(page, stage, "/")
        expect(page.locator("[data-store-only]")).to_be_hidden()
        stage.server.stop()
        phone.close()
        page = phone.open()
        go(page, stage, "/")  # as the manifest's start_url
        expect(page.locator("[data-kept-notice]")).to_be_visible()
        first = page.locator("[data-kept-next]")
        expect(first).to_contain_text("Cellar")
        expect(first).not_to_contain_text("Granary")
        check_page(page)
        for label, heading in (("Run sheet", "Run sheet"), ("Line check", "Line check")):
            go(page, stage, "/")
            with page.expect_navigation():
                first.get_by_role("link", name=label).click()
            expect(page.get_by_role("heading", level=1)).to_contain_text(heading)
            expect(page.locator("main")).to_contain_text("Cellar")
        go(page, stage, "/kept/")
        row = page.locator("[data-kept-list] > li")
        expect(row.locator("[data-size]")).to_contain_text("of at most 60.0 MB")
        links = row.locator(".kept-group a")
        assert links.count() > 10
        places = [str(each.get_attribute("href")) for each in links.all()]
        assert f"{stage.world['place']}/tour/" in places
        for place in places:
            go(page, stage, place)
            assert path_of(page) == place.split("?")[0]
            expect(page.get_by_role("heading", level=1)).not_to_have_text("Not on this device")


def test_what_would_be_too_much_is_left_out_and_said(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    (stage.server.folder / WORKER_BEGINS).write_text(SMALL)
    phone = Phone(playwright, tmp_path / "phone", stage)
    page = phone.open()
    try:
        phone.sign_in("crew")
        go(page, stage, stage.handover)
        expect(page.locator("[data-keep]")).to_contain_text("Not all of this could be stored")
        go(page, stage, "/kept/")
        row = page.locator("[data-kept-list] > li")
        expect(row.locator("[data-size]")).to_contain_text("of at most 1 kB")
        expect(row.locator("[data-beyond]")).to_contain_text("Left out, because")
        check_page(page)
        stage.server.stop()
        go(page, stage, stage.rig)  # words before pictures
        expect(page.locator("[data-kept-notice]")).to_be_visible()
    finally:
        phone.close()
