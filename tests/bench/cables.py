"""Taps, keys and loads for 16 cables of a guitar rig with two amplifiers, on a phone in Chromium.

python -m tests.bench.cables

Counted as tests/bench/counting.py says. Its units stand in the rig already; what is usual between
two kinds is taken as it is offered.
"""

from __future__ import annotations

import time
from uuid import uuid4

from tests.bench.entry import phone

# isort: split
from django.urls import reverse

from rigs.changes.edits import Add
from rigs.models import Link
from tests.bench.counting import Counted
from tests.bench.serving import served
from tests.support.world import make_rig, make_world

# As invented: a radio, a board with four loops, and two amplifiers with their cabinets.
UNITS = {
    "Guitar": "guitar",
    "Radio": "wireless",
    "Switcher": "switcher",
    "Comp": "compressor",
    "Fuzz": "pedal",
    "Drive": "pedal",
    "Wah": "pedal",
    "Tuner": "pedal",
    "Foot controller": "controller",
    "Head left": "valve_head",
    "Head right": "valve_head",
    "Cab left": "cabinet",
    "Cab right": "cabinet",
}
LOOPS = ("comp", "fuzz", "drive", "wah")
PATH = "\n".join(
    (
        "guitar > radio > switcher",
        *(f"send {n} > {pedal} > return {n}" for n, pedal in enumerate(LOOPS, 1)),
        "switcher: tuner out > tuner",
        "foot > switcher: midi in",
        "out a > head l > cab l",
        "switcher out b > head r > cab r",
    )
)
# Each cable as the list of units offers it: from, to, out of, into.
CABLES = (
    ("Guitar", "Radio", "", ""),
    ("Radio", "Switcher", "", ""),
    *(
        ends
        for n, pedal in enumerate(LOOPS, 1)
        for ends in (
            ("Switcher", pedal.title(), f"send {n}", ""),
            (pedal.title(), "Switcher", "", f"return {n}"),
        )
    ),
    ("Switcher", "Tuner", "tuner out", ""),
    ("Foot controller", "Switcher", "", "midi in"),
    ("Switcher", "Head left", "out a", ""),
    ("Head left", "Cab left", "", ""),
    ("Switcher", "Head right", "out b", ""),
    ("Head right", "Cab right", "", ""),
)


def as_a_path(hand: Counted) -> None:
    page = hand.page
    hand.go(page.get_by_role("link", name="Type the path"))
    if not hand.is_on("words"):
        hand.tap(page.locator("[name=words]"))
    for place, line in enumerate(PATH.split("\n")):
        if place:
            hand.enter()
        hand.type(line)
    page.get_by_role("heading", name="Cables (16 new)").wait_for()
    hand.go(page.get_by_role("button", name="Save the cables"))


def one_by_one(hand: Counted) -> None:
    page = hand.page
    hand.go(page.get_by_role("link", name="Add a cable"))
    for place, (source, target, out_of, into) in enumerate(CABLES):
        _choose(hand, "source", source)
        _choose(hand, "target", target)
        for name, socket in (("from_socket", out_of), ("to_socket", into)):
            if socket:
                hand.tap(page.locator(f"[name={name}]"))
                hand.type(socket)
        is_last = place == len(CABLES) - 1
        button = "Save" if is_last else "Save and add another"
        hand.go(page.get_by_role("button", name=button, exact=True))


def _choose(hand: Counted, name: str, unit: str) -> None:
    field = hand.page.locator(f"[name={name}]")
    if field.evaluate("field => field.selectedOptions[0]?.textContent") != unit:
        field.select_option(label=unit)
        hand.taps += 2  # open the list, choose


WAYS = {"one": one_by_one, "path": as_a_path}


def main(way: str, server: str) -> None:
    world = make_world()
    adds = [Add(str(uuid4()), "unit", {"name": n, "gear": g}) for n, g in UNITS.items()]
    rig = make_rig(world.production, world.player, world.tech, "Two amplifiers", tuple(adds))
    with phone(world.tech, server) as hand:
        hand.page.goto(f"{server}{reverse('rigs:rig', args=[world.production.pk, rig.pk])}")
        loads, begun = hand.loads, time.perf_counter()
        WAYS[way](hand)
        taken = time.perf_counter() - begun
        hand.page.wait_for_load_state("load")
    made = Link.objects.filter(rig=rig).values_list(
        "source__name", "target__name", "from_socket", "to_socket"
    )
    whole = "all there" if sorted(made) == sorted(CABLES) else f"NOT WHOLE: {len(made)}"
    told = f"{hand.taps} taps, {hand.keys} keys, {hand.loads - loads} loads, {hand.reached} scrolls"
    print(f"{way}: {told}, {taken:.1f} s of pages; {whole}")


if __name__ == "__main__":
    for each in WAYS:
        with served() as address:
            main(each, address)
