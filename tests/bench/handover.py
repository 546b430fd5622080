"""How long a handover page takes, how many queries and how many bytes.

    python -m tests.bench.handover [revisions]

Nine players with a rig each, and so many revisions spread over them: dial turns, and every tenth a
microphone swap with a reason. Prints a table in Markdown.
"""

from __future__ import annotations

import gzip
import os
import statistics
import sys
import time
from datetime import date, timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection
from django.test import Client
from django.test.runner import DiscoverRunner
from django.test.utils import CaptureQueriesContext, setup_test_environment
from django.urls import reverse

from core.models import Leg, Player
from rigs.models import Rig
from rigs.revisions.edits import Add, Set
from rigs.revisions.record import record
from tests.support.world import HIRE, World, input_fields, make_rig, make_world

PLAYERS, RUNS = 9, 15


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


def write(world: World, revisions: int) -> None:
    rigs = rigs_of(world)
    for count in range(revisions):
        rig, control, entry = rigs[count % PLAYERS]
        if count % 10 == 9:
            mic = [world.mic, world.other_mic][(count // 90) % 2 == 0]
            edit = Set(entry, "input", {"device": str(mic.pk)})
        else:
            setting = f"{count % 5 + 1}:{count % 60:02d}" if count % 5 < 4 else "12:30"
            edit = Set(control, "control", {"setting": setting})
        record(rig, [edit], author=world.tech, base=rig.head_number, reason=HIRE)


def main(revisions: int) -> None:
    world = make_world()
    write(world, revisions)
    today = date.today()
    legs = [
        Leg.objects.create(
            production=world.production, name=name, starts_on=today + timedelta(days=start),
            ends_on=today + timedelta(days=start + 20),
        )
        for name, start in (("Autumn", -40), ("Winter", 5))
    ]  # fmt: skip
    client = Client()
    client.force_login(world.engineer)
    url = reverse("notes:handover", args=[world.production.pk, legs[1].pk])
    with CaptureQueriesContext(connection) as captured:
        response = client.get(url)
    queries = len(captured)  # counted now: the next request empties the log
    assert response.status_code == 200, response.status_code
    taken = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        client.get(url)
        taken.append((time.perf_counter() - begun) * 1000)
    html = response.content
    print("| database | players | revisions | median ms | queries | HTML bytes | compressed |")
    print("|---|---|---|---|---|---|---|")
    print(
        f"| {connection.vendor} | {PLAYERS} | {revisions} | {statistics.median(taken):.0f} "
        f"| {queries} | {len(html)} | {len(gzip.compress(html))} |"
    )


if __name__ == "__main__":
    setup_test_environment()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    config = runner.setup_databases()
    try:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
    finally:
        runner.teardown_databases(config)
