"""How a page is seen: what axe finds, what contrast its texts have, whether it scrolls sideways.

Outside sources: the rules of axe-core (Deque), which follow WCAG 2.2; of these, 1.4.6 for contrast
of 7 to 1, which is asked here of every text, whatever its size; and 1.4.4 for text at 200 %.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

from axe_playwright_python.sync_playwright import Axe, AxeResults
from playwright.sync_api import Page

WIDTHS = (390, 1280)
HEIGHT = 800
THEMES = ("dark", "light")
# Contrast of every text, whatever its size: WCAG 2.2, 1.4.3 in the dark, 1.4.6 in the sun.
CONTRAST = {"dark": 4.5, "light": 7}
# Chromium's own setting for the size of text, twice its default: rem and em follow, and so do the
# em of media queries, as where a person sets it. It is no zoom: the viewport stays as wide.
TWICE = ("--blink-settings=defaultFontSize=32,defaultFixedFontSize=26",)
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# What sticks out, the innermost last, but for what is inside something that scrolls by itself.
STICKS_OUT = """() => [...document.querySelectorAll("main *")]
  .filter((each) => each.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)
  .filter((each) => each.checkVisibility() && !each.closest("svg *"))
  .filter((each) => {
    for (let at = each.parentElement; at; at = at.parentElement) {
      if (at !== document.documentElement && at !== document.body
          && getComputedStyle(at).overflowX !== "visible") return false;
    }
    return true;
  })
  .map((each) => `${each.tagName}.${each.className}`).slice(-4).join(", ")
"""
TEXTS_BELOW = (Path(__file__).parent / "contrast.js").read_text()
# Axe’s rule for contrast in each theme: what passes 7 to 1 passes 4.5 to 1, and neither is quick.
CONTRAST_RULE = {"dark": "color-contrast", "light": "color-contrast-enhanced"}


class Seen(NamedTuple):
    """One way to look at a page."""

    width: int
    theme: str


# Each layout and each theme once: between two themes of a layout only colours differ, and contrast
# is looked at in all four. `python -m tests.bench.seen` has all rules in all of them.
EACH_ONCE = (Seen(390, "dark"), Seen(1280, "light"))
ALL = tuple(Seen(width, theme) for width in WIDTHS for theme in THEMES)


def _axe(page: Page, seen: Seen) -> AxeResults:
    # Said in both themes: a rule that is off by itself runs where its tag is asked for.
    rules = {rule: {"enabled": theme == seen.theme} for theme, rule in CONTRAST_RULE.items()}
    options: dict[str, Any] = {"resultTypes": ["violations"], "rules": rules}
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    return AxeResults(page.evaluate("options => axe.run(options)", options))


def _low_contrast(page: Page, seen: Seen) -> list[str]:
    _turn_to(page, seen)
    found: list[str] = page.evaluate(TEXTS_BELOW, CONTRAST[seen.theme])["wrong"]
    return [f"{page.url} at {seen.width}, {seen.theme}: {each}" for each in found]


def _turn_to(page: Page, seen: Seen) -> None:
    page.set_viewport_size({"width": seen.width, "height": HEIGHT})
    # As the server writes it: the style sheets look at nothing else.
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", seen.theme)


def look(page: Page, ways: tuple[Seen, ...] = EACH_ONCE) -> list[str]:
    """What is wrong with the page that is open, looked at in all these ways; it is left changed."""
    wrong = []
    # Otherwise colours are on their way from one theme to the other when they are measured.
    page.emulate_media(reduced_motion="reduce")
    for seen in ways:
        where = f"{page.url} at {seen.width}, {seen.theme}"
        _turn_to(page, seen)
        found = _axe(page, seen)
        if found.violations_count:
            wrong.append(f"{where}: {found.generate_report()}")
        if page.evaluate(SIDEWAYS) > 0:
            wrong.append(f"{where}: scrolls sideways")
    for seen in ALL:
        wrong += _low_contrast(page, seen)
    return wrong


def sideways_at_twice(page: Page) -> list[str]:
    """As `sideways`, with text at twice its size; the page is not loaded anew, and is left as it
    was. Raises AssertionError where the text does not follow."""
    chromium = page.context.new_cdp_session(page)
    try:
        chromium.send("Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}})
        size = page.evaluate("getComputedStyle(document.documentElement).fontSize")
        assert size == "32px", size
        return [f"at twice the size, {each}" for each in sideways(page)]
    finally:
        chromium.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
        chromium.detach()


def sideways(page: Page, widths: tuple[int, ...] = WIDTHS) -> list[str]:
    """Where the page that is open scrolls sideways, and by how much."""
    wrong = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": HEIGHT})
        by = page.evaluate(SIDEWAYS)
        if by > 0:
            what = page.evaluate(STICKS_OUT)
            wrong.append(f"{page.url} scrolls sideways by {by} px at {width}: {what}")
    return wrong
