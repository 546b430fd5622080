"""Taps, keys and time to document a rig of 20 units on a phone, in Chromium at 390 px; and to write
down a listening note.

python -m tests.bench.entry [one | several | both | note]

A tap is a finger on something; a key is one stroke, Enter included; a field typed into counts by
its strokes. What a person thinks or reads is not in the time: it is that of the pages alone.
Leaving a page for the next is a tap like any other; scrolling to a button counts as one more.

The note is timed as a whole, from the press of the button on the page of the rig until the saved
note stands there, by a person of assumed speed: KEY_S for a key, which is the mean of 37,000 people
on phones, 36.2 words of five characters a minute (Palin et al., How do People Type on Mobile
Devices?, MobileHCI 2019; from memory), and TAP_S to find and press what is in view (an assumption).
"""

from __future__ import annotations

import os
import sys
import time
from dataclasses import dataclass

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
django.setup()

from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.test import Client
from django.test.runner import DiscoverRunner
from django.test.testcases import LiveServerThread
from django.urls import reverse
from playwright.sync_api import Locator, Page, sync_playwright

from rigs.gear import GEAR
from rigs.models import Control, Rig, Unit
from tests.conftest import find_browser
from tests.support.world import make_rig, make_world

# Name, kind, settings of its usual controls in order: a bass player's board and stack, as invented.
# The knobs of the basses have numbers, all other dials are read as a clock.
RIG: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("Main bass", "bass", ("10", "5", "2", "7")),
    ("Spare bass", "bass", ("10", "5", "3", "6")),
    ("Tuner", "pedal", ("on", "", "", "")),
    ("Squeeze", "compressor", ("on", "-18", "4", "10", "120", "3")),
    ("Fuzz", "pedal", ("off", "1", "3", "11")),
    ("Drive", "pedal", ("on", "12", "10", "1")),
    ("Octave", "pedal", ("off", "2", "9", "12")),
    ("Chorus", "pedal", ("off", "12", "9", "2")),
    ("Echo", "pedal", ("off", "11", "10", "3")),
    ("Swell", "pedal", ("on", "3", "12", "12")),
    ("Filter", "pedal", ("off", "1", "1", "10")),
    ("Boost", "pedal", ("on", "2", "8", "12")),
    ("Board supply", "power", ()),
    ("Switcher", "switcher", ("A to head; B to DI",)),
    ("Radio", "wireless", ("606.5", "0")),
    ("Valve head", "valve_head", ("2", "11", "12", "1", "9", "12", "on", "8 Ω")),
    ("Spare head", "head", ("12", "11", "12", "1", "12")),
    ("Cab top", "cabinet", ()),
    ("Cab low", "cabinet", ()),
    ("Practice amp", "combo", ("9", "12", "12", "12", "8")),
)
KEY_S = 60 / (36.2 * 5)
TAP_S = 0.8
WORDS = "Too much wool, drier"  # 20 keys
PHONE = {"width": 390, "height": 844}


@dataclass
class Counted:
    """A page, and what a person's fingers did on it so far."""

    page: Page
    taps: int = 0
    keys: int = 0
    reached: int = 0  # scrolls

    def tap(self, what: Locator) -> None:
        self._reach(what)
        what.tap()
        self.taps += 1

    def go(self, what: Locator) -> None:
        """A tap that leads to another page."""
        with self.page.expect_navigation():
            self.tap(what)

    def _reach(self, what: Locator) -> None:
        box = what.bounding_box()
        # 64 px at the bottom are the navigation, which covers what is below it.
        if box and (box["y"] < 0 or box["y"] + box["height"] > PHONE["height"] - 64):
            what.scroll_into_view_if_needed()
            self.reached += 1

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.keys += len(text)

    def enter(self) -> None:
        self.page.keyboard.press("Enter")
        self.keys += 1

    def is_on(self, name: str) -> bool:
        return bool(self.page.evaluate("name => document.activeElement.name === name", name))


def one_by_one(hand: Counted, start: str) -> None:
    """Each unit on its own page: its kind by a tap, settings with Enter between."""
    page = hand.page
    page.goto(start)
    hand.go(page.get_by_role("link", name="Add a unit"))
    for at, (name, gear, settings) in enumerate(RIG):
        label = f"{GEAR[gear].label[:1].upper()}{GEAR[gear].label[1:]}"
        hand.go(page.get_by_role("link", name=label, exact=True))
        if not hand.is_on("name"):
            hand.tap(page.locator("[name=name]"))
        hand.type(name)
        for number, setting in enumerate(settings):
            _set(hand, f"setting-{number}", setting)
        last = at == len(RIG) - 1
        button = "Save" if last else "Save and add another"
        hand.go(page.get_by_role("button", name=button, exact=True))
        if _answer(hand):
            hand.go(page.get_by_role("button", name=button, exact=True))


def _answer(hand: Counted) -> int:
    """Say of each unit that the page asks about that a time is meant; how many were asked about."""
    hand.page.wait_for_load_state("domcontentloaded")
    asked = hand.page.locator(".readings input[value=clock]")
    for at in range(asked.count()):
        hand.tap(asked.nth(at))
    return asked.count()


def _set(hand: Counted, name: str, setting: str) -> None:
    field = hand.page.locator(f"[name={name}]")
    hand.enter()  # on from the field before
    if not hand.is_on(name):
        hand.tap(field)
    if field.evaluate("field => field.tagName") == "SELECT":
        field.select_option(setting)
        hand.taps += 2  # open the list, choose
    else:
        hand.type(setting)


def several(hand: Counted, start: str) -> None:
    """All of them in one field, one a line."""
    page = hand.page
    page.goto(start)
    hand.go(page.get_by_role("link", name="Several"))
    if not hand.is_on("lines"):
        hand.tap(page.locator("[name=lines]"))
    for name, gear, settings in RIG:
        said = [name, _short(gear), *(["", *settings] if any(settings) else [])]
        hand.type(",".join(said).rstrip(","))
        hand.enter()
    hand.go(page.get_by_role("button", name="Add them"))
    _answer(hand)  # on the page that shows what was read
    hand.go(page.get_by_role("button", name="Add them"))


def _short(gear: str) -> str:
    """The shortest beginning that is understood."""
    from rigs.units.several import kind_of

    for length in range(1, len(gear) + 1):
        try:
            if kind_of(gear[:length].replace("_", " ")).key == gear:
                return gear[:length].replace("_", " ")
        except ValueError:
            continue
    return gear


def note(hand: Counted, start: str) -> None:
    """Verdict, words and an input, from the page of the rig; prints what it took."""
    page = hand.page
    page.goto(start)

    def tap(what: Locator) -> None:
        page.wait_for_timeout(TAP_S * 1000)
        hand.tap(what)

    begun = time.perf_counter()
    with page.expect_navigation():
        tap(page.locator(".thumb-button"))
    tap(page.get_by_label("adjust"))
    tap(page.get_by_label("What was said"))
    page.keyboard.type(WORDS, delay=KEY_S * 1000)
    hand.keys += len(WORDS)
    tap(page.locator("[name=inputs]").first)
    with page.expect_navigation():
        tap(page.get_by_role("button", name="Save the note"))
    page.get_by_text(WORDS).wait_for()
    taken = time.perf_counter() - begun
    typed, pressed = hand.keys * KEY_S, hand.taps * TAP_S
    print(
        f"note: {taken:.1f} s, of which typing {typed:.1f}, pressing {pressed:.1f}, pages "
        f"{taken - typed - pressed:.1f}; {hand.taps} taps, {hand.keys} keys, {hand.reached} scrolls"
    )


def is_whole(rig: Rig) -> bool:
    """Whether every unit is there with every setting, read as it was meant."""
    wanted = sum(bool(setting) for _, _, settings in RIG for setting in settings)
    kept = Control.objects.filter(rig=rig).exclude(setting="")
    numbered = kept.filter(style="dial").values_list("unit__gear", flat=True)
    units = Unit.objects.filter(rig=rig).count()
    return (units, kept.count(), set(numbered)) == (len(RIG), wanted, {"bass"})


WAYS = {"one": one_by_one, "several": several}


def main(way: str, server: str) -> None:
    world = make_world()
    rig = (
        world.rig
        if way == "note"
        else make_rig(world.production, world.player, world.tech, "Twenty")
    )
    client = Client()
    client.force_login(world.tech)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=find_browser(), args=["--no-sandbox"])
        context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
        session = client.cookies["sessionid"].value
        context.add_cookies([{"name": "sessionid", "value": session, "url": server}])
        hand = Counted(context.new_page())
        start = reverse("rigs:rig", args=[world.production.pk, rig.pk])
        if way == "note":
            note(hand, f"{server}{start}")
            browser.close()
            return
        begun = time.perf_counter()
        WAYS[way](hand, f"{server}{start}")
        taken = time.perf_counter() - begun
        browser.close()
    told = f"{hand.taps} taps, {hand.keys} keys, {hand.reached} scrolls, {taken:.1f} s of pages"
    print(f"{way}: {told}; {'all there' if is_whole(rig) else 'NOT WHOLE'}")


def serve(way: str) -> None:
    from django.db import connections

    shared = (
        {"default": connections["default"]} if connections["default"].vendor == "sqlite" else {}
    )
    for connection in shared.values():
        # SQLite in memory is one connection, which the thread of the server has to share.
        connection.inc_thread_sharing()
    thread = LiveServerThread("127.0.0.1", StaticFilesHandler, connections_override=shared)
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    if thread.error:
        raise thread.error
    try:
        main(way, f"http://127.0.0.1:{thread.port}")
    finally:
        thread.terminate()


if __name__ == "__main__":
    asked = sys.argv[1] if len(sys.argv) > 1 else "both"
    runner = DiscoverRunner(verbosity=0, interactive=False)
    config = runner.setup_databases()
    try:
        for each in WAYS if asked == "both" else [asked]:
            serve(each)
    finally:
        runner.teardown_databases(config)
