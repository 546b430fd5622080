"""Taps and keys from “the same set as yesterday, two songs swapped, one cut, a hired bass head with
six dials” to tonight's run sheet, on a phone, in Chromium at 390 px.

python -m tests.bench.show_night

Counted as in tests.bench.entry: a tap is a finger on something, a page more is a tap like any
other, and scrolling to something counts as a tap of its own here, since it is one in the hand.
Begins on the page of the leg, where tonight's show is added, and ends where the run sheet stands in
the right order with the head that came and its dials.
"""

from __future__ import annotations

import os
from datetime import date

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
django.setup()

from core.models import Leg, Show, Song
from core.sets.order import set_of_show
from core.sets.services import replace_set, state_of
from tests.bench.counting import Counted
from tests.bench.entry import phone
from tests.bench.serving import served
from tests.support.world import World, make_world

SONGS = 16
DIALS = ("2:30", "11:00", "12:00", "1:30", "9:00", "12:00")
WANTED = 25  # taps at most, besides typing; a hired head with its dials included


def prepare(world: World) -> Leg:
    """A leg with yesterday's show and its set."""
    place = world.production
    for at in range(SONGS):
        Song.objects.create(
            production=place, title=f"Song {at + 1:02}", position=at + 1, length_s=200, gap_s=20
        )
    leg = Leg.objects.create(
        production=place, name="Coast", starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 30)
    )
    show = Show.objects.create(leg=leg, held_on=date(2026, 9, 1), room="Yesterday")
    replace_set(show, state_of(set_of_show(show)), by=world.tech, because="Begun.")
    return leg


def tonight(hand: Counted, start: str) -> None:
    page = hand.page
    page.goto(start)
    hand.go(page.get_by_role("link", name="Add a show"))
    # The day is that of the leg; the room is typed.
    hand.tap(page.locator("[name=room]"))
    hand.type("Tonight")
    with page.expect_navigation():
        hand.enter()
    card = page.locator("li.card", has_text="Tonight")
    hand.go(card.get_by_role("link", name="Set"))
    hand.tap(page.get_by_role("button", name="Move Song 04 up"))  # 3 and 4 swapped
    hand.tap(page.locator("summary", has_text="Song 09"))
    hand.tap(page.locator("[data-line]", has_text="Song 09").get_by_label("Cut"))
    hand.go(page.get_by_role("button", name="Save", exact=True))
    hand.done("show and set")
    hand.go(page.get_by_role("link", name="Gear", exact=True))
    hired_head(hand)
    hand.done("hired head")
    hand.go(page.get_by_role("link", name="Run sheet"))
    hand.done("run sheet")


def hired_head(hand: Counted) -> None:
    page = hand.page
    hand.tap(page.locator("summary", has_text="Ines Halloran"))
    hand.go(page.get_by_role("link", name="Another unit for Head"))
    hand.type_into("model", "Brack Four Hundred")
    hand.enter()
    hand.type_into("from_whom", "Kestrel Hire")
    hand.tap(page.locator("[name=v-0]"))
    for dial in DIALS:
        hand.type(dial)
        hand.enter()
    hand.choose(page.locator("[name=why]"), "hired in place of ours")
    hand.go(page.get_by_role("button", name="Save", exact=True))


def is_right(titles: list[str]) -> bool:
    wanted = [f"Song {at + 1:02}" for at in range(SONGS)]
    wanted[2:4] = [wanted[3], wanted[2]]
    wanted.remove("Song 09")
    return titles == wanted


def main(server: str) -> None:
    world = make_world()
    leg = prepare(world)
    with phone(world.tech, server) as hand:
        tonight(hand, f"{server}{leg.get_absolute_url()}")
        titles = hand.page.locator(".run-song h2 a").all_inner_texts()
        gear = hand.page.locator(".tonight").inner_text()
    has_head = "Brack Four Hundred" in gear and all(dial in gear for dial in DIALS)
    for step, spent in hand.steps:
        print(f"{step}: {spent.taps} taps, {spent.keys} keys, {spent.loads} pages")
    total = hand.taps + hand.reached
    print(
        f"show night: {hand.taps} taps and {hand.reached} scrolls ({total} of {WANTED}), "
        f"{hand.keys} keys; run sheet {'right' if is_right(titles) and has_head else 'WRONG'}"
    )


if __name__ == "__main__":
    with served() as server:
        main(server)
