"""Chromium, driven by Playwright as in all other tests of a browser."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser

from tests.browser.engines.seat import Seat
from tests.support.phones import PHONE


class Chromium(Seat):
    engine = "chromium"

    def __init__(self, browser: Browser, server: str, shots: Path | None = None) -> None:
        super().__init__(server, shots)
        self.version = browser.version
        self._context = browser.new_context(viewport=PHONE, service_workers="allow")
        self._page = self._context.new_page()
        self._page.on("pageerror", lambda error: self.wrong.append(str(error)))

    def call(self, function: str, given: str) -> str:
        return str(self._page.evaluate(function, given))

    def goto(self, url: str) -> None:
        self._page.goto(url)

    def point(self, x: float, y: float) -> None:
        self._page.mouse.click(x, y)

    def drag(self, x: float, y: float, up: int) -> None:
        self._page.mouse.move(x, y)
        self._page.mouse.down()
        self._page.mouse.move(x, y - up, steps=4)
        self._page.mouse.up()

    def type(self, text: str) -> None:
        self._page.keyboard.type(text)

    def key(self, name: str) -> None:
        self._page.keyboard.press(name)

    def give(self, path: Path) -> None:
        self._page.set_input_files("[data-in-hand]", path)

    def paper(self) -> bytes:
        return self._page.pdf(format="A4")

    def picture(self) -> bytes:
        return self._page.screenshot()

    def close(self) -> None:
        self._context.close()
