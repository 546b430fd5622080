"""Every page in Chromium: axe finds nothing, texts are readable, nothing errs or goes sideways."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page

from core.links import make_link
from core.models import OneTimeLink
from notes.signing import requests
from tests.support.addresses import ROUTES, access_of, address
from tests.support.everything import arguments_for, fill
from tests.support.seen import look, sideways_at_twice
from tests.support.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# So that processes of a run share the walk; each page is seen in one language: long words of any
# must fit, and what else is wrong is wrong in all.
LANGUAGES = ("en-gb", "de", "fr", "es")
PARTS = len(LANGUAGES)
BLOCKED = "Service Worker registration blocked"  # by tests/browser/conftest.py, says Playwright


@pytest.fixture
def full(transactional_db: None) -> World:
    world = make_world("A production with a name long enough to need two lines on a telephone")
    fill(world)
    return world


def pages_of(world: World, part: int) -> list[str]:
    """Addresses that answer the engineer with a page: a whole one, no part for a script."""
    client = Client(raise_request_exception=False)
    client.force_login(world.engineer)
    known = arguments_for(world)
    found = []
    for route, entry in list(ROUTES.items())[part::PARTS]:
        if access_of(entry) != "api":
            url = address(route, known)
            response = client.get(url)
            if response.status_code != 200 or "html" not in response.headers["Content-Type"]:
                continue
            if response.content.lstrip().startswith(b"<!doctype html>"):
                found.append(url)
    return found


def sign_in(
    page: Page, server: str, world: World, theme: str = "auto", *, language: str = "en-gb"
) -> None:
    client = Client()
    client.force_login(world.engineer)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [
            {"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server},
            {"name": "theme", "value": theme, "url": server},
            {"name": settings.LANGUAGE_COOKIE_NAME, "value": language, "url": server},
        ]
    )


@pytest.mark.parametrize(("part", "language"), list(enumerate(LANGUAGES)))
def test_every_page_is_accessible_and_fits(
    page: Page, live_server: Any, full: World, part: int, language: str
) -> None:
    """On a phone in the dark and on a desk in the light; the contrast of every text in both layouts
    and both themes, in the light one 7 to 1; and with text at twice the size. Each page is loaded
    once."""
    sign_in(page, live_server.url, full, language=language)
    said: list[str] = []
    page.on(
        "console",
        lambda message: BLOCKED in message.text or said.append(f"{page.url}: {message.text}"),
    )
    page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
    wrong = []
    for url in pages_of(full, part):
        page.goto(live_server.url + url)
        wrong += sideways_at_twice(page) + look(page)
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
    wrong = []
    urls = ["/login/", "/password/forgotten/", f"/join/{invited}/", asked.url]
    for url in [*urls, "/sign/x/", "/join/x/"]:
        response = page.goto(live_server.url + url)
        assert response is not None
        if response.status != (404 if url.endswith("/x/") else 200):
            wrong.append(f"{url}: {response.status}")
        wrong += sideways_at_twice(page) + look(page)
    assert wrong == [], "\n".join(wrong)
