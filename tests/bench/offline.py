"""How much a device keeps of the demonstration's handover, and how long it takes.

    python -m tests.bench.offline <url of a served demonstration> [person …]

Serve one with `manage.py start`. Opens the newest leg's handover in a fresh Chromium at phone
width: the time until the page is there, until it is kept, and until the kept copy is there with the
network off. Prints a table in Markdown.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from playwright.sync_api import Page, sync_playwright

from tests.conftest import find_browser
from tests.support.phones import QUIET

PASSWORD = "weir-demo-2026"
PEOPLE = ("jonah", "bram")  # crew, who reads; a tech, who may change settings, too
HELD = """async () => {
  const open = indexedDB.open("toneledger");
  const data = await new Promise((done) => (open.onsuccess = () => done(open.result)));
  const asked = data.transaction("kept").objectStore("kept").getAll();
  const [row] = await new Promise((done) => (asked.onsuccess = () => done(asked.result)));
  const sum = (held) => Object.values(held).reduce((total, bytes) => total + bytes, 0);
  const { usage } = await navigator.storage.estimate();
  return { things: Object.keys(row.held).length, bytes: sum(row.held), shared: sum(row.statics),
           missing: row.missing.length, usage };
}"""


def timed(page: Page, url: str) -> float:
    begun = time.perf_counter()
    page.goto(url)
    return time.perf_counter() - begun


def measure(playwright: Any, url: str, who: str) -> str:
    with tempfile.TemporaryDirectory() as folder:
        context = playwright.chromium.launch_persistent_context(
            folder,
            executable_path=find_browser(),
            args=list(QUIET),
            viewport={"width": 390, "height": 844},
        )
        page = context.pages[0]
        page.goto(f"{url}/login/")
        page.fill("[name=username]", f"{who}@ninefold.example")
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.click("main button.button-primary")
        page.goto(url)
        place = page.locator("main .card-title a").first.get_attribute("href")
        page.goto(f"{url}{place}handovers/")
        handover = url + str(page.locator("main .card-title a").first.get_attribute("href"))
        begun = time.perf_counter()
        opened = timed(page, handover)
        page.get_by_text("Stored on this device").wait_for(timeout=300_000)
        kept = time.perf_counter() - begun
        held = page.evaluate(HELD)
        # A list that was not stored whole would be measured as a small one.
        assert held["missing"] == 0, held
        again = timed(page, handover)
        context.set_offline(True)
        without = timed(page, handover)
        page.locator("[data-kept-notice]").wait_for()
        context.close()
    return (
        f"| {who} | {held['things']} | {held['bytes'] / 1e6:.1f} | {held['shared'] / 1e6:.2f} "
        f"| {held['usage'] / 1e6:.1f} | {opened:.2f} | {kept:.1f} | {again:.2f} | {without:.2f} |"
    )


def main(url: str, people: tuple[str, ...]) -> None:
    print(
        "| who | things | MB | shared files MB | on disk MB | opened s | kept s | again s | off s |"
    )
    print("|---|---|---|---|---|---|---|---|---|")
    with sync_playwright() as playwright:
        for who in people:
            print(measure(playwright, url.rstrip("/"), who), flush=True)


if __name__ == "__main__":
    main(sys.argv[1], tuple(sys.argv[2:]) or PEOPLE)
