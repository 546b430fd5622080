"""Every kind of page of the demonstration: axe with all rules in two widths and themes, texts of
the light theme at 7 to 1, and no scrolling sideways, also with text at twice the size.

    python -m tests.bench.seen <url of a served demonstration> [pages of each kind, 2 if not given]

Serve one with `manage.py start`. Follows the links from the overview, as the engineer, to so many
pages of each kind (addresses that differ in their numbers alone are of one kind). The tests walk
every address of a small production; here the pages are long, and no rule is left out.
Ends with an error if anything was found.
"""

from __future__ import annotations

import re
import sys
import time
from collections import Counter
from typing import Any

from playwright.sync_api import Page, Playwright, sync_playwright

from tests.bench.heights import log_in
from tests.conftest import find_browser
from tests.support.phones import PHONE, QUIET
from tests.support.seen import ALL, TWICE, look, sideways

# What acts, or is no page.
LEFT_OUT = re.compile(
    r"/(logout|admin|api|static|media)/|/(file|sound|small|photo)/|\.[a-z0-9]{2,5}$"
)
NUMBERS = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d+")
# Those of drawings, too, whose `href` is no text.
LINKS = """links => links.map(
    link => new URL(link.getAttribute("href"), document.baseURI).href.split("#")[0]
)"""


def opened(playwright: Playwright, *more: str) -> Any:
    browser = playwright.chromium.launch(
        executable_path=find_browser(), args=[*QUIET, *more], handle_sigint=False
    )
    return browser.new_context(viewport=PHONE, service_workers="block")


def kind(url: str) -> str:
    path, _, query = url.partition("?")
    names = sorted(part.split("=")[0] for part in query.split("&"))
    return NUMBERS.sub("#", path) + "?" + "&".join(names)


def crawl(page: Page, start: str, site: str, each: int) -> list[str]:
    """Addresses of pages, at most `each` of a kind."""
    waiting, known, kinds, found = [start], {start}, Counter[str](), []
    while waiting:
        url = waiting.pop(0)
        answer = page.request.get(url)
        if answer.status != 200 or "html" not in answer.headers.get("content-type", ""):
            continue
        page.goto(url)
        found.append(url)
        for link in page.locator("a[href]").evaluate_all(LINKS):
            if not link.startswith(site) or link in known or LEFT_OUT.search(link.split("?")[0]):
                continue
            known.add(link)
            kinds[kind(link)] += 1
            if kinds[kind(link)] <= each:
                waiting.append(link)
    return found


def main(site: str, each: int) -> int:
    begun = time.monotonic()
    with sync_playwright() as playwright:
        page = opened(playwright).new_page()
        addresses = crawl(page, log_in(page, site), site, each)
        wrong = []
        for url in addresses:
            page.goto(url)
            wrong += look(page, ALL)
        large = opened(playwright, *TWICE).new_page()
        log_in(large, site)
        for url in addresses:
            large.goto(url)
            wrong += sideways(large)
    print("\n".join(wrong))
    took = time.monotonic() - begun
    print(f"{len(addresses)} pages, {len(wrong)} findings, {took:.0f} s", file=sys.stderr)
    return len(wrong)


if __name__ == "__main__":
    site = sys.argv[1].rstrip("/")
    sys.exit(1 if main(site, int(sys.argv[2]) if len(sys.argv) > 2 else 2) else 0)
