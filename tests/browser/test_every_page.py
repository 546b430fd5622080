"""Every page in Chromium: axe finds nothing, nothing scrolls sideways, nothing errs."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page

from core.links import make_link
from core.models import OneTimeLink
from notes.signing import requests
from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
BLOCKED = "Service Worker registration blocked"  # by tests/browser/conftest.py, says Playwright
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def full(transactional_db: None) -> World:
    world = make_world("A production with a name long enough to need two lines on a telephone")
    fill(world)
    return world


def pages_of(world: World) -> list[str]:
    """Addresses that answer the engineer with a page."""
    client = Client(raise_request_exception=False)
    client.force_login(world.engineer)
    known = arguments_for(world)
    found = []
    for route, entry in ROUTES.items():
        if access_of(entry) != "api":
            url = address(route, known)
            response = client.get(url)
            if response.status_code == 200 and "html" in response.headers["Content-Type"]:
                found.append(url)
    return found


def sign_in(page: Page, server: str, world: World, theme: str) -> None:
    client = Client()
    client.force_login(world.engineer)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [
            {"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server},
            {"name": "theme", "value": theme, "url": server},
        ]
    )


@pytest.mark.parametrize(("theme", "width"), [("dark", 360), ("light", 1280)])
def test_every_page_is_accessible_and_fits(
    page: Page, live_server: Any, full: World, theme: str, width: int
) -> None:
    sign_in(page, live_server.url, full, theme)
    page.set_viewport_size({"width": width, "height": 800})
    said: list[str] = []
    page.on(
        "console",
        lambda message: BLOCKED in message.text or said.append(f"{page.url}: {message.text}"),
    )
    page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
    wrong = []
    for url in pages_of(full):
        page.goto(live_server.url + url)
        found = Axe().run(page)
        if found.violations_count:
            wrong.append(f"{url}: {found.generate_report()}")
        if page.evaluate(SIDEWAYS) > 0:
            wrong.append(f"{url} scrolls sideways at {width}")
    assert wrong == [], "\n".join(wrong)
    assert said == []


def test_pages_for_people_without_an_account(page: Page, live_server: Any, full: World) -> None:
    """Log-in, lost password, an open invitation, a signature asked for, and closed links."""
    full.rig.refresh_from_db()
    link = {"production": full.production, "made_by": full.engineer, "days": 3}
    details = {"roles": ["crew"], "email": "", "player": None}
    _, invited = make_link(purpose=OneTimeLink.Purpose.INVITATION, details=details, **link)
    asked = requests.ask(
        rig=full.rig,
        revision=full.rig.head_number,
        by=full.engineer,
        address=lambda token: f"/sign/{token}/",
    )
    page.set_viewport_size({"width": 360, "height": 800})
    wrong = []
    urls = ["/login/", "/password/forgotten/", f"/join/{invited}/", asked.url]
    for url in [*urls, "/sign/x/", "/join/x/"]:
        response = page.goto(live_server.url + url)
        assert response is not None
        if response.status != (404 if url.endswith("/x/") else 200):
            wrong.append(f"{url}: {response.status}")
        found = Axe().run(page)
        if found.violations_count:
            wrong.append(f"{url}: {found.generate_report()}")
        if page.evaluate(SIDEWAYS) > 0:
            wrong.append(f"{url} scrolls sideways")
    assert wrong == [], "\n".join(wrong)
