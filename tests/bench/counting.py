"""What a person's fingers do on pages, counted, and what the pages then cost.

A tap is a finger on something; a key is one stroke, Enter included; a field typed into counts by
its strokes. To open a list and choose from it is two taps. Leaving a page for the next is a tap
like any other; what has to be scrolled to is counted apart. A page load is a document that came to
stand in the window, a redirect on the way to it not counted; the time of the server is from a
request for a document to the first byte of its answer, redirects included.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from playwright.sync_api import Frame, Locator, Page, Request

from tests.support.phones import PHONE


class Figures(NamedTuple):
    """Taps, keys, page loads, and seconds of the server."""

    taps: int = 0
    keys: int = 0
    loads: int = 0
    server_s: float = 0.0


@dataclass
class Counted:
    """A page, and what a person's fingers did on it so far."""

    page: Page
    taps: int = 0
    keys: int = 0
    reached: int = 0  # scrolls
    loads: int = 0
    server_s: float = 0.0
    steps: list[tuple[str, Figures]] = field(default_factory=list)
    _from: Figures = Figures()

    def __post_init__(self) -> None:
        self.page.on("domcontentloaded", self._loaded)
        self.page.on("requestfinished", self._answered)

    def _loaded(self, _: Page) -> None:
        self.loads += 1

    def _answered(self, request: Request) -> None:
        if request.is_navigation_request() and _is_main(request.frame):
            timing = request.timing
            self.server_s += max(timing["responseStart"] - timing["requestStart"], 0) / 1000

    @property
    def so_far(self) -> Figures:
        return Figures(self.taps, self.keys, self.loads, self.server_s)

    def done(self, step: str) -> None:
        """Keep what the step took since the one before it."""
        self.page.wait_for_load_state("load")
        spent = (now - then for now, then in zip(self.so_far, self._from, strict=True))
        self.steps.append((step, Figures(*spent)))  # type: ignore[arg-type]
        self._from = self.so_far

    def tap(self, what: Locator) -> None:
        self._reach(what)
        what.tap()
        self.taps += 1

    def go(self, what: Locator) -> None:
        """A tap that leads to another page."""
        with self.page.expect_navigation(wait_until="domcontentloaded"):
            self.tap(what)

    def choose(self, what: Locator, label: str) -> None:
        """Open a list and choose from it."""
        what.select_option(label=label)
        self.taps += 2

    def _reach(self, what: Locator) -> None:
        box = what.bounding_box()
        # 64 px at the bottom are the navigation, which covers what is below it.
        if box and (box["y"] < 0 or box["y"] + box["height"] > PHONE["height"] - 64):
            what.scroll_into_view_if_needed()
            self.reached += 1

    def type(self, text: str) -> None:
        """Into the field that has the cursor; a new line is Enter."""
        self.page.keyboard.type(text)
        self.keys += len(text)

    def type_into(self, name: str, text: str) -> None:
        """Into the field of that name, with a tap where the cursor is not there already."""
        if not self.is_on(name):
            self.tap(self.page.locator(f"[name='{name}']"))
        self.type(text)

    def enter(self) -> None:
        self.page.keyboard.press("Enter")
        self.keys += 1

    def is_on(self, name: str) -> bool:
        return bool(self.page.evaluate("name => document.activeElement.name === name", name))


def _is_main(frame: Frame) -> bool:
    return frame.parent_frame is None
