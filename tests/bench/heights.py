"""How high the pages of the demonstration are on a phone, in CSS pixels.

    python -m tests.bench.heights <url of a served demonstration> [width]

Serve one with `manage.py start`. Logs in as the engineer, opens each page at 390 px (or the width
that is given) and prints a table in Markdown: height of the document before the long pages were
shortened, now, and now in screens of 844 px. Of the rigs and the handovers the highest one counts.
"""

from __future__ import annotations

import os
import sys
from typing import NamedTuple

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from playwright.sync_api import Page, sync_playwright

from tests.conftest import find_browser
from tests.support.phones import PHONE, QUIET

WHO, PASSWORD = "greta@ninefold.example", "weir-demo-2026"
# At 390 px, by this script, of the demonstration as it was then.
BEFORE = {
    "rig": 11_449,
    "ten minutes": 21_786,
    "ten minutes, FOH": 21_978,
    "full handover": 46_931,
    "changes": 18_739,
    "every change": 25_407,
    "history of a rig": 4_512,
    "pack list": 14_318,
    "input list": 9_645,
}
# Sections that are laid out only when they come near count with what they hold, not with a guess.
HEIGHT = """(() => {
  const sections = document.querySelectorAll("main section");
  for (const each of sections) each.style.contentVisibility = "visible";
  return document.documentElement.scrollHeight;
})()"""


class Looked(NamedTuple):
    name: str
    height: int
    url: str


def log_in(page: Page, url: str) -> str:
    """The address of the production."""
    page.goto(f"{url}/login/")
    page.fill("[name=username]", WHO)
    page.fill("[name=password]", PASSWORD)
    with page.expect_navigation():
        page.click("main button.button-primary")
    page.goto(url)
    return url + str(page.locator("main .card-title a").first.get_attribute("href"))


def highest(page: Page, name: str, urls: list[str]) -> Looked:
    looked = []
    for url in urls:
        page.goto(url)
        looked.append(Looked(name, page.evaluate(HEIGHT), url))
    return max(looked, key=lambda each: each.height)


def links(page: Page, url: str, selector: str) -> list[str]:
    page.goto(url)
    found: list[str] = page.locator(selector).evaluate_all("links => links.map(link => link.href)")
    return sorted(set(found))


def measure(page: Page, url: str) -> list[Looked]:
    place = log_in(page, url)
    rigs = links(page, f"{place}rigs/", "main .card-title a")
    legs = links(page, f"{place}handovers/", "main .card-title a")
    published = {each.split("?")[0].split("#")[0] for each in legs}
    return [
        highest(page, "rig", rigs),
        highest(page, "ten minutes", [f"{each}?for=all" for each in published]),
        highest(page, "ten minutes, FOH", [f"{each}?for=foh" for each in published]),
        highest(page, "full handover", [f"{each}?for=all&long" for each in published]),
        highest(page, "changes", [f"{place}changes/"]),
        highest(page, "every change", [f"{place}changes/?everything=on"]),
        highest(page, "history of a rig", [f"{rig}history/" for rig in rigs]),
        highest(page, "pack list", [f"{place}pack/"]),
        highest(page, "input list", [f"{place}inputs/"]),
    ]


def main(url: str, width: int) -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_browser(), args=list(QUIET))
        page = browser.new_page(viewport={**PHONE, "width": width})
        print(f"| page at {width} px | before, 390 px | now | screens |\n|---|---|---|---|")
        for each in measure(page, url.rstrip("/")):
            screens = each.height / PHONE["height"]
            print(f"| {each.name} | {BEFORE[each.name]:,} | {each.height:,} | {screens:.1f} |")
            print(each.url, file=sys.stderr)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else PHONE["width"])
