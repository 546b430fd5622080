"""A whole first rehearsal day on a phone: all of it is there, at half the effort it once took."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from core.services import first_person
from tests.bench import first_day

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.each_database,
]


def test_the_day_is_on_file_within_its_limits(
    browser: Browser, live_server: Any, settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    person = first_person.make_first_person(name="Tilda Marnock", email="tilda@marnock.example")
    hand = first_day.run(browser, live_server.url + first_person.make_link(person).path)
    assert first_day.missing() == []
    spent, aim = hand.so_far, first_day.AIM
    assert spent.taps < aim.taps, first_day.table(hand)
    assert spent.keys < aim.keys, first_day.table(hand)
    assert spent.loads < aim.loads, first_day.table(hand)


def test_a_way_that_leaves_something_out_is_told(transactional_db: None) -> None:
    missing = first_day.missing()
    assert "cables: 0 of 16" in missing
    assert "inputs of the kit: 0 of 10" in missing
