"""The pages of a show on a festival day of 8 acts with 96 ways, in a leg of 40 shows, against those
of the demonstration: queries, milliseconds of the processor, kilobytes packed.

[DATABASE_URL=postgres://…] python -m tests.bench.festival_day

One process and one request at a time, the pages taken in turn, so that what else the machine does
falls on both alike; the median, and the least, which such work disturbs least. The time is that of
this process: PostgreSQL works in its own.
"""

from __future__ import annotations

import gzip
import os
import statistics
import time
from collections.abc import Mapping
from datetime import date, timedelta
from uuid import uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import Leg, Player, Production, Show, Song, User
from core.sets.order import set_of_show
from core.sets.services import replace_set, state_of
from notes.demo import cast
from rigs.changes.edits import Add
from rigs.models import Input, LentLine, PatchBox, PatchLine, Rig, Unit, UnitAtShow
from rigs.revisions.record import record
from tests.bench.database import own_test_database
from tests.support.world import World, make_rig, make_world

ACTS, WAYS, SHOWS, PLAYERS, SONGS, TIMES = 8, 96, 40, 12, 16, 15


def fill(world: World) -> Show:
    """An act of 12 with 96 inputs on 6 boxes, 40 shows, and 7 other acts that share ways."""
    place = world.production
    for number in range(PLAYERS):
        player = Player.objects.create(production=place, name=f"Player {number}", position=number)
        fill_rig(make_rig(place, player, world.tech, f"Rig {number}"), world, number)
    leg = Leg.objects.create(
        production=place, name="Summer", starts_on=date(2026, 6, 1), ends_on=date(2026, 8, 30)
    )
    shows = Show.objects.bulk_create(
        Show(leg=leg, held_on=leg.starts_on + timedelta(days=2 * n), room=f"Field {n}")
        for n in range(SHOWS)
    )
    boxes = PatchBox.objects.bulk_create(
        PatchBox(production=place, name=f"Box {mark}", mark=mark, ways=16, position=n)
        for n, mark in enumerate("ABCDEF")
    )
    own = Input.objects.filter(rig__production=place).exclude(rig=world.rig).order_by("number")
    PatchLine.objects.bulk_create(
        PatchLine(input=entry, box=boxes[n // 16], way=n % 16 + 1, monitor_channel=n + 1)
        for n, entry in enumerate(own[:WAYS])
    )
    LentLine.objects.bulk_create(
        LentLine(show=shows[20], act=f"Act {n}", what="lines", box=boxes[n % 6], first=1, count=4)
        for n in range(ACTS - 1)
    )
    for number in range(SONGS):
        Song.objects.create(production=place, title=f"Song {number}", position=number, length_s=200)
    for unit in Unit.objects.filter(rig__production=place)[:4]:
        UnitAtShow.objects.create(
            show=shows[20],
            unit=unit,
            what="replaced",
            gear="head",
            model="Brack",
            why="hire",
            by=world.tech,
            by_name=world.tech.name,
        )
    show = Show.objects.select_related("leg__production").get(pk=shows[20].pk)
    replace_set(show, state_of(set_of_show(show)), by=world.tech, because="Begun.")
    return show


def fill_rig(rig: Rig, world: World, number: int) -> None:
    """A unit with six controls, and the player's share of the inputs."""
    unit, each = str(uuid4()), WAYS // PLAYERS
    controls = [
        Add(str(uuid4()), "control", {"unit": unit, "name": f"Dial {n}", "setting": "2:30"})
        for n in range(6)
    ]
    inputs = [
        Add(
            str(uuid4()),
            "input",
            {
                "name": f"Line {number * each + n + 1}",
                "number": number * each + n + 1,
                "device": str(world.mic.pk),
                "unit": unit,
            },
        )
        for n in range(each)
    ]
    edits = [Add(unit, "unit", {"name": "Head", "gear": "head"}), *controls, *inputs]
    record(rig, edits, author=world.tech, base=rig.head_number)


def pages(show: Show) -> dict[str, str]:
    place = show.leg.production_id

    def at(name: str) -> str:
        return reverse(name, args=[place, show.pk])

    return {
        "leg": show.leg.get_absolute_url(),
        "input list": at("rigs:show_inputs"),
        "patch": at("rigs:show_patch"),
        "gear": at("rigs:show_gear"),
        "line check": at("notes:line_check"),
        "findings": at("rigs:show_findings"),
        "set": reverse("core:show_set", args=[place, show.pk]),
        "run sheet": f"{reverse('rigs:run_sheet', args=[place])}?show={show.pk}",
    }


def measure(at: Mapping[str, tuple[Client, str]]) -> dict[str, str]:
    """“queries, median and least ms, kB” of each page."""
    told, took = {}, {name: [] for name in at}  # type: ignore[var-annotated]
    for name, (client, url) in at.items():
        client.get(url)
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(url)
        assert answer.status_code == 200, (name, answer.status_code)
        packed = len(gzip.compress(answer.content)) / 1000
        told[name] = (len(asked), packed)
    for _ in range(TIMES):
        for name, (client, url) in at.items():
            begun = time.process_time()
            client.get(url)
            took[name].append((time.process_time() - begun) * 1000)
    return {
        name: f"{told[name][0]} | {statistics.median(took[name]):.0f} ({min(took[name]):.0f})"
        f" | {told[name][1]:.0f}"
        for name in at
    }


def main() -> None:
    # First, since it is loaded into an empty database alone.
    call_command("demo", stdout=open(os.devnull, "w"))  # noqa: SIM115
    world = make_world()
    show = fill(world)
    demo = Production.objects.get(name=cast.PRODUCTION)
    theirs = Show.objects.select_related("leg__production").filter(leg__production=demo)
    of_demo = theirs.filter(lent_lines__isnull=False).first() or theirs[0]
    ours, other = (Client(headers={"host": "localhost"}) for _ in range(2))
    ours.force_login(world.tech)
    other.force_login(User.objects.get(email=cast.ENGINEER))
    at = {f"{name}, festival": (ours, url) for name, url in pages(show).items()}
    at |= {f"{name}, demonstration": (other, url) for name, url in pages(of_demo).items()}
    measured = measure(at)
    print(f"{connection.vendor}, load {os.getloadavg()[0]:.1f}")
    print("| page | festival: queries | ms (least) | kB | demonstration: queries | ms | kB |")
    print("|---|--:|--:|--:|--:|--:|--:|")
    for name in pages(show):
        both = (measured[f"{name}, {whose}"] for whose in ("festival", "demonstration"))
        print(f"| {name} | {' | '.join(both)} |")


if __name__ == "__main__":
    with own_test_database():
        main()
