"""A note that waited is of the rig its author saw and of the moment it was written."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import (
    Stage,
    go,
    let_time_go_by,
    phone_of,
    wait_until_sent,
    write_note,
)

pytestmark = pytest.mark.browser

MINUTES = 8
# Somebody else, on another device, takes another microphone.
SWAP = """
from core.models import User
from rigs.models import Device, Input, Rig
from rigs.changes.edits import Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.revisions.record import record
rig, entry = Rig.objects.get(pk="{rig}"), Input.objects.get(rig="{rig}", name="Bass mic")
other = Device.objects.exclude(pk=entry.device_id).first()
before = rig.head_number
record(rig, [Set(str(entry.pk), "input", {{"device": str(other.pk)}})], base=before,
       author=User.objects.get(pk="{who}"), reason=Reason(ReasonKind.HIRE, "Ours is in repair."))
print(json.dumps(before))
"""
NOTES = """
from notes.models import Note
print(json.dumps([[note.heard_at, note.written_at.isoformat(), note.arrived_at.isoformat()]
                  for note in Note.objects.order_by("pk")]))
"""


def wait_and_arrive(page: Page, stage: Stage) -> None:
    let_time_go_by(page, stage, MINUTES)
    stage.server.start()
    go(page, stage, "/waiting/")


def test_a_note_is_of_what_its_author_saw_and_of_when_it_was_written(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        engineer = stage.world["users"]["engineer"]
        before = stage.server.run(SWAP.format(rig=stage.world["rig"], who=engineer))
        write_note(page, stage, "Wool, not wire.")
        wait_and_arrive(page, stage)
        wait_until_sent(page, 1)
        found: Any = stage.server.run(NOTES)
        (heard_at, written, arrived) = found[0]
        waited = datetime.fromisoformat(arrived) - datetime.fromisoformat(written)
        assert heard_at == before
        assert timedelta(minutes=MINUTES) <= waited < timedelta(minutes=MINUTES + 2)
        page.get_by_role("link", name="See it").click()
        expect(page.locator(".arrival")).to_contain_text("arrived")
        expect(page.locator("main")).to_contain_text(
            f"which the page did not show: change {before + 1}"
        )


def test_what_comes_back_and_is_sent_anew_is_still_of_then(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """The words were left out; they are put in when the form comes back."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        write_note(page, stage, "")
        wait_and_arrive(page, stage)
        with page.expect_navigation():
            page.get_by_role("button", name="Open it").click()
        page.get_by_label("What was said").fill("Wool, not wire.")
        with page.expect_navigation():
            page.get_by_role("button", name="Save the note").click()
        ((_, written, arrived),) = stage.server.run(NOTES)
        waited = datetime.fromisoformat(arrived) - datetime.fromisoformat(written)
        assert timedelta(minutes=MINUTES) <= waited < timedelta(minutes=MINUTES + 2)
