"""A device keeps the checkpoint it saw, and finds out when the log no longer begins with it."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from playwright.sync_api import Page, expect

from core.append_only import set_aside
from core.models import Checkpoint, LogEntry
from core.proof.checkpoints import stated, take
from tests.browser.test_every_page import sign_in
from tests.support.pages import at
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GROWN = "[data-log-same]"
DIFFERS = "[data-log-differs]"


def take_one(world: World) -> Checkpoint:
    made = take(world.production.pk, Checkpoint.Why.ASKED)
    assert made is not None
    return made


def look(page: Page, address: str) -> None:
    with page.expect_response("**/checkpoint/"):
        page.goto(address)


def test_a_device_tells_a_log_that_grew_from_one_that_was_rewritten(
    page: Page, live_server: Any, world: World
) -> None:
    sign_in(page, live_server.url, world)
    log = live_server.url + at(world, "core:log")
    first = take_one(world)
    look(page, log)
    page.wait_for_function("localStorage.length > 0")
    expect(page.locator(GROWN)).to_be_hidden()  # there is nothing yet to compare with

    world.turn("4:00")
    world.turn("5:00")
    seen = take_one(world)
    assert seen.size > first.size
    look(page, log)
    expect(page.locator(GROWN)).to_be_visible()

    # Somebody with the database alters an old entry and makes all checkpoints anew.
    with set_aside(connection):
        entry = LogEntry.objects.filter(production=world.production.pk).earliest("pk")
        LogEntry.objects.filter(pk=entry.pk).update(digest=bytes(32))
        Checkpoint.objects.all().delete()
    world.turn("3:00")
    take_one(world)
    for _ in range(2):  # it stays said
        look(page, log)
        expect(page.locator(DIFFERS)).to_contain_text(stated(seen).code)
        expect(page.locator(GROWN)).to_be_hidden()
