"""How long the pages of a handover take, how many queries and how many bytes; and publishing one.

    python -m tests.bench.handover [revisions]

Nine players with a rig each, and so many revisions spread over them: dial turns, and every tenth a
microphone swap with a reason. Prints a table in Markdown: the least of 25, in time and in
processor time of this process (PostgreSQL works in its own). Calls are those of Python functions,
in thousands: they are the same on a busy machine.
"""

from __future__ import annotations

import cProfile
import gzip
import os
import pstats
import sys
import time
from datetime import date, timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext, setup_test_environment
from django.urls import reverse

from core import clock
from core.models import Leg, Player
from notes.handover.publish import publish
from rigs.changes.edits import Add
from rigs.models import Rig
from tests.bench.database import own_test_database
from tests.bench.histories import History, Step
from tests.support.world import HIRE, World, input_fields, make_rig, make_world

PLAYERS, RUNS = 9, 25


def rigs_of(world: World) -> list[tuple[Rig, str, str]]:
    """Each rig with the ids of a control and an input."""
    from uuid import uuid4

    made = []
    for number in range(PLAYERS):
        player = Player.objects.create(
            production=world.production, name=f"Player {number}", instrument="bass"
        )
        unit, control, entry = uuid4(), uuid4(), uuid4()
        parts = (
            Add(str(unit), "unit", {"name": "Head", "gear": "valve_head"}),
            Add(str(control), "control", {"unit": str(unit), "name": "Gain", "setting": "2:30"}),
            Add(str(entry), "input", input_fields(unit, world.mic.pk)),
        )
        rig = make_rig(world.production, player, world.tech, f"Rig {number}", parts)
        made.append((rig, str(control), str(entry)))
    return made


def write(world: World, rigs: list[tuple[Rig, str, str]], revisions: int) -> None:
    """Spread evenly over the rigs; each rig is grown by itself."""
    start = clock.now()
    for place, (rig, control, entry) in enumerate(rigs):
        steps = (
            step_of(world, count, control, entry) for count in range(place, revisions, PLAYERS)
        )
        History(rig, world.tech, HIRE).grow(steps, start)


def step_of(world: World, count: int, control: str, entry: str) -> Step:
    if count % 10 == 9:
        mic = [world.mic, world.other_mic][(count // 90) % 2 == 0]
        return Step(entry, "input", "device", str(mic.pk))
    turn = count % 5
    setting = f"{turn + 1}:{count % 60:02d}" if turn < 4 else "12:30"
    return Step(control, "control", "setting", setting)


def measure(client: Client, page: str, url: str, revisions: int) -> None:
    """One row of the table."""
    with CaptureQueriesContext(connection) as captured:
        response = client.get(url)
    queries = len(captured)  # counted now: the next request empties the log
    assert response.status_code == 200, response.status_code
    taken, worked = [], []
    for _ in range(RUNS):
        begun, busy = time.perf_counter(), time.process_time()
        client.get(url)
        taken.append((time.perf_counter() - begun) * 1000)
        worked.append((time.process_time() - busy) * 1000)
    counted = cProfile.Profile()
    counted.runcall(client.get, url)
    calls = pstats.Stats(counted).total_calls / 1000  # type: ignore[attr-defined]
    html = response.content
    print(
        f"| {connection.vendor} | {page} | {PLAYERS} | {revisions} "
        f"| {calls:.0f} | {min(worked):.0f} | {min(taken):.0f} | {queries} | {len(html)} "
        f"| {len(gzip.compress(html))} |"
    )


def main(revisions: int) -> None:
    world = make_world()
    rigs = rigs_of(world)
    today = date.today()
    autumn, winter = [
        Leg.objects.create(
            production=world.production,
            name=name,
            starts_on=today + timedelta(days=start),
            ends_on=today + timedelta(days=start + 20),
        )
        for name, start in (("Autumn", -40), ("Winter", 5))
    ]
    first = publish(leg=autumn, by=world.engineer)
    begun = time.perf_counter()
    write(world, rigs, revisions)
    print(f"Writing them down took {time.perf_counter() - begun:.0f} s.\n")
    client = Client()
    client.force_login(world.engineer)

    def at(name: str, *more: object) -> str:
        return reverse(name, args=[world.production.pk, *more])

    heads = "database | page | players | changes | calls | processor ms | ms | queries"
    print(f"| {heads} | HTML bytes | compressed |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    measure(client, "working copy", at("notes:handover", winter.pk), revisions)
    measure(client, "before publishing", at("notes:publish", winter.pk), revisions)
    begun = time.perf_counter()
    second = publish(leg=winter, by=world.engineer)
    taken = (time.perf_counter() - begun) * 1000
    # The first tells all of the changes as what happened since.
    for made, when in ((first, "changes after it"), (second, "changes before it")):
        for query, length in (("", "short"), ("?long", "full")):
            url = f"{made.get_absolute_url()}{query}"
            measure(client, f"published, {length}, {when}", url, revisions)
    measure(client, "between the two", at("notes:published_compare", second.pk), revisions)
    measure(client, "reminders", at("notes:reminders", winter.pk), revisions)
    print(f"\nPublishing took {taken:.0f} ms; what it says has {len(second.content)} bytes.")


if __name__ == "__main__":
    setup_test_environment()
    with own_test_database():
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
