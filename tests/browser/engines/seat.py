"""A person at a browser of any engine: finds things by their words, presses and types.

An engine gives a few motions of hand (the abstract methods); all else is written once, here and in
the two scripts beside.
"""

from __future__ import annotations

import json
import time
from abc import ABC, abstractmethod
from pathlib import Path
from typing import Any, ClassVar

from tests.support.patience import PATIENCE_S
from tests.support.phones import PHONE
from tests.support.seen import SIDEWAYS, STICKS_OUT

HANDS = (Path(__file__).parent / "hands.js").read_text().split("\n", 1)[1]
WIDTH, HEIGHT = PHONE["width"], PHONE["height"]
# Arguments and answers go as text, which every protocol carries alike.
CALLED = "async (given) => JSON.stringify((await ({script})(...JSON.parse(given))) ?? null)"
WENT_WRONG = """() => {
  const said = sessionStorage.getItem("what went wrong");
  sessionStorage.removeItem("what went wrong");
  return JSON.parse(said ?? "[]");
}"""
# Between two pages a browser may show an empty one, which is complete, too.
ARRIVED = """() => !('leaving' in window) && document.readyState === 'complete'
  && document.documentURI.startsWith("http")"""
CHOOSE = """(option) => {
  const list = document.querySelector("[data-in-hand]");
  const found = [...list.options].find((each) => each.text.includes(option));
  if (!found) return [...list.options].map((each) => each.text);
  list.value = found.value;
  for (const kind of ["input", "change"]) list.dispatchEvent(new Event(kind, { bubbles: true }));
  return null;
}"""
SET = """(value) => {
  const field = document.querySelector("[data-in-hand]");
  field.value = value;
  for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
  return field.value;
}"""
SAYS = """(words, within) => [...document.querySelectorAll(within)].some((place) =>
  place.innerText.replace(/\\s+/g, " ").includes(words))"""


class Seat(ABC):
    """One browser, 390 pixels wide. Whatever went wrong on a page is in `wrong`."""

    engine: ClassVar[str]
    version: str

    def __init__(self, server: str, shots: Path | None = None) -> None:
        self.server, self.wrong, self.shots = server, list[str](), shots
        self.pages = 0

    @abstractmethod
    def call(self, function: str, given: str) -> str:
        """What that function of JavaScript, which may be asynchronous, answers."""

    @abstractmethod
    def goto(self, url: str) -> None: ...

    @abstractmethod
    def point(self, x: float, y: float) -> None:
        """Press there once."""

    @abstractmethod
    def drag(self, x: float, y: float, up: int) -> None: ...

    @abstractmethod
    def type(self, text: str) -> None: ...

    @abstractmethod
    def key(self, name: str) -> None:
        """`name` as in UI Events: ArrowUp, Enter, …"""

    @abstractmethod
    def give(self, path: Path) -> None:
        """Choose that file in the field at hand."""

    @abstractmethod
    def paper(self) -> bytes | None:
        """The page as PDF; None where the engine's driver cannot print."""

    @abstractmethod
    def picture(self) -> bytes:
        """What is seen, as PNG."""

    @abstractmethod
    def close(self) -> None: ...

    def run(self, script: str, *given: Any) -> Any:
        return json.loads(self.call(CALLED.format(script=script), json.dumps(given)))

    def until(self, script: str, *given: Any, why: str = "") -> Any:
        """What that function answers as soon as it is true. While a page comes, it is not."""
        end, last = time.monotonic() + PATIENCE_S, None
        while time.monotonic() < end:
            try:
                if found := self.run(script, *given):
                    return found
            except Exception as error:  # noqa: BLE001 - each protocol has its own
                last = error
            time.sleep(0.05)
        place = self.run("() => location.href + ' ' + document.querySelector('main')?.innerText")
        raise AssertionError(f"{self.engine}: not {why or script} {given}: {last or ''} {place}")

    def go(self, path: str) -> None:
        self.goto(path if path.startswith("http") else self.server + path)
        self.until(ARRIVED)
        self.look()

    def look(self) -> None:
        """Nothing went wrong on this page, and nothing sticks out of it."""
        self.wrong += self.run(WENT_WRONG)
        if self.run(f"() => {SIDEWAYS}") > 0:
            at = self.run("() => location.pathname")
            self.wrong.append(f"{at} goes sideways: {self.run(STICKS_OUT)}")
        if self.shots is not None:
            self.pages += 1
            self.shots.mkdir(parents=True, exist_ok=True)
            (self.shots / f"{self.engine}-{self.pages:02}.png").write_bytes(self.picture())

    def hold(self, what: str, words: str, *, within: str = "main", which: int = 0) -> Any:
        """Finds it, once it is there; it is then at hand, and this says where to press."""
        return self.until(HANDS, what, words, within, which, why=f"a {what} “{words}”")

    def press(self, what: str, words: str, **more: Any) -> None:
        at, before = self.hold(what, words, **more), None
        while at != before:  # a page that is still being laid out moves it away from under the hand
            time.sleep(0.05)
            at, before = self.hold(what, words, **more), at
        assert not at["over"], f"{self.engine}: “{words}” lies under {at['over']}"
        self.point(at["x"], at["y"])

    def leave_by(self, what: str, words: str, **more: Any) -> None:
        """Press it and wait for the page it leads to: what was sent is then on record."""
        self.hold(what, words, **more)
        self.wrong += self.run(WENT_WRONG)
        self.run("() => { window.leaving = true; }")
        self.press(what, words, **more)
        self.until(ARRIVED, why=f"a page after “{words}”")
        self.look()

    def send(self) -> None:
        self.leave_by("css", "form button.button-primary")

    def follow(self, words: str, **more: Any) -> None:
        self.leave_by("link", words, **more)

    def fill(self, label: str, text: str, **more: Any) -> None:
        self.press("field", label, **more)
        self.run("() => document.querySelector('[data-in-hand]').select()")
        self.type(text)
        held = self.run("() => document.querySelector('[data-in-hand]').value")
        assert held == text, f"{self.engine}: {label} has {held!r}"

    def choose(self, label: str, option: str, **more: Any) -> None:
        self.hold("field", label, **more)
        missing = self.run(CHOOSE, option)
        assert missing is None, f"{label} offers {missing}"

    def put(self, label: str, value: str, **more: Any) -> str:
        """As a picker of the engine's own does it."""
        self.hold("field", label, **more)
        return str(self.run(SET, value))

    def tick(self, label: str, **more: Any) -> None:
        self.press("field", label, **more)
        self.until("() => document.querySelector('[data-in-hand]').checked", why=label)

    def bring(self, path: Path, **more: Any) -> None:
        self.hold("css", "input[type=file]", **more)
        self.give(path)

    def says(self, words: str, within: str = "main") -> None:
        self.until(SAYS, words, within, why=f"“{words}” in {within}")
