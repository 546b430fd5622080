"""Taps, keys and time to document a rig of 20 units on a phone, in Chromium at 390 px; and to write
down a listening note.

python -m tests.bench.entry [one | several | both | note]

What counts as a tap and as a key says tests/bench/counting.py. What a person thinks or reads is not
in the time: it is that of the pages alone.

The note is timed as a whole, from the press of the button on the page of the rig until the saved
note stands there, by a person of assumed speed: KEY_S for a key, which is the mean of 37,000 people
on phones, 36.2 words of five characters a minute (Palin et al., How do People Type on Mobile
Devices?, MobileHCI 2019; from memory), and TAP_S to find and press what is in view (an assumption).
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
django.setup()

from django.test import Client
from django.urls import reverse
from playwright.sync_api import Locator, sync_playwright

from core.models import User
from rigs.gear import GEAR
from rigs.models import Control, Rig, Unit
from tests.bench.counting import Counted
from tests.bench.serving import served
from tests.conftest import find_browser
from tests.support.phones import PHONE
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
    """Verdict, words and an input, from the page at `start`; prints what it took.

    Where the page is of no rig, the input is what is pressed on the page between.
    """
    page = hand.page
    page.goto(start)

    def tap(what: Locator) -> None:
        page.wait_for_timeout(TAP_S * 1000)
        hand.tap(what)

    begun = time.perf_counter()
    with page.expect_navigation():
        tap(page.locator(".thumb-button"))
    choice = page.locator(".pick-inputs a")
    has_chosen = choice.count() > 0
    if has_chosen:
        with page.expect_navigation():
            tap(choice.first)
    tap(page.get_by_label("adjust"))
    tap(page.get_by_label("What was said"))
    page.keyboard.type(WORDS, delay=KEY_S * 1000)
    hand.keys += len(WORDS)
    if not has_chosen:
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


@contextmanager
def phone(user: User, server: str) -> Iterator[Counted]:
    """A page on a phone on which `user` is logged in."""
    client = Client()
    client.force_login(user)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=find_browser(), args=["--no-sandbox"])
        context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
        session = client.cookies["sessionid"].value
        context.add_cookies([{"name": "sessionid", "value": session, "url": server}])
        yield Counted(context.new_page())
        browser.close()


def main(way: str, server: str) -> None:
    world = make_world()
    rig = (
        world.rig
        if way == "note"
        else make_rig(world.production, world.player, world.tech, "Twenty")
    )
    start = f"{server}{reverse('rigs:rig', args=[world.production.pk, rig.pk])}"
    with phone(world.tech, server) as hand:
        if way == "note":
            note(hand, start)
            front = Counted(hand.page)
            note(front, f"{server}{reverse('core:production', args=[world.production.pk])}")
            return
        begun = time.perf_counter()
        WAYS[way](hand, start)
        taken = time.perf_counter() - begun
    told = f"{hand.taps} taps, {hand.keys} keys, {hand.reached} scrolls, {taken:.1f} s of pages"
    print(f"{way}: {told}; {'all there' if is_whole(rig) else 'NOT WHOLE'}")


if __name__ == "__main__":
    asked = sys.argv[1] if len(sys.argv) > 1 else "both"
    for each in WAYS if asked == "both" else [asked]:
        with served() as address:
            main(each, address)
