"""What it costs to find the states of the sign-offs of nine rigs: time and queries.

    python -m tests.bench.sign_off_states [revisions]

Each rig is signed by all three parties at its first change; so many changes are then spread over
them. Prints a table in Markdown: the least of five, before the changes and after them.
"""

from __future__ import annotations

import os
import sys
import time

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection
from django.test.utils import CaptureQueriesContext, setup_test_environment

from notes.models import Party
from notes.signing.services import sign
from notes.signing.states import sign_off_statuses
from rigs.models import Rig
from tests.bench.database import own_test_database
from tests.bench.handover import RUNS, rigs_of, write
from tests.support.world import World, make_world


def sign_all(world: World, rigs: list[Rig]) -> None:
    for rig in rigs:
        for party in Party:
            player = party is Party.PLAYER
            who = {"player": rig.player} if player else {"user": world.people[party]}
            sign(rig=rig, party=party, decision="signed", revision=1, **who)


def measure(when: str, revisions: int) -> None:
    rigs = list(Rig.objects.filter(name__startswith="Rig ").select_related("player"))
    with CaptureQueriesContext(connection) as captured:
        found = sign_off_statuses(rigs)
    states = sorted({str(each.player.state) for each in found.values()})
    taken = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        sign_off_statuses(rigs)
        taken.append((time.perf_counter() - begun) * 1000)
    print(
        f"| {connection.vendor} | {when} | {revisions} | {', '.join(states)} | {min(taken):.1f} "
        f"| {len(captured)} |"
    )


def main(revisions: int) -> None:
    world = make_world()
    made = rigs_of(world)
    sign_all(world, [rig for rig, _, _ in made])
    print("| database | when | changes | states | ms | queries |\n|---|---|---|---|---|---|")
    measure("signed", 0)
    write(world, made, revisions)
    measure("changed after", revisions)


if __name__ == "__main__":
    setup_test_environment()
    with own_test_database():
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
