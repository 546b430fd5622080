"""How long a timeline takes with 5,000 and with 100,000 marks, and how large it is.

    python -m tests.bench.timeline [marks …]

Listening notes every few minutes of a year, on one rig. Prints a table in Markdown.
"""

from __future__ import annotations

import gzip
import os
import statistics
import sys
import time
from datetime import UTC, datetime, timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection
from django.test import Client
from django.test.runner import DiscoverRunner
from django.test.utils import CaptureQueriesContext, setup_test_environment
from django.urls import reverse

from notes.models import Note
from tests.support.world import World, make_world

RUNS = 9
START = datetime(2026, 1, 1, tzinfo=UTC)


def fill_up(world: World, marks: int) -> None:
    # Measured with ever more marks: those of the smaller counts stay.
    there = Note.objects.count()
    Note.objects.bulk_create(
        [
            Note(
                production=world.production,
                rig=world.rig,
                words=f"Word {n}",
                verdict="keep",
                written_by=world.engineer,
                written_at=START + timedelta(days=365) * (n / marks),
            )
            for n in range(there, marks)
        ],
        batch_size=2000,
    )


def measure(world: World, marks: int) -> str:
    fill_up(world, marks)
    client = Client()
    client.force_login(world.engineer)
    url = reverse("notes:timeline", args=[world.production.pk])
    with CaptureQueriesContext(connection) as queries:
        body = client.get(url).content
        asked = len(queries)
    took = []
    for _ in range(RUNS):
        start = time.perf_counter()
        client.get(url)
        took.append(time.perf_counter() - start)
    median = 1000 * statistics.median(took)
    packed = len(gzip.compress(body, 6))
    return f"| {connection.vendor} | {marks} | {median:.0f} | {asked} | {packed} |"


def main() -> None:
    counts = [int(each) for each in sys.argv[1:]] or [1, 5000, 100_000]
    setup_test_environment()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        world = make_world()
        print("| database | marks | median ms | queries | compressed bytes |")
        print("|---|---|---|---|---|")
        for count in counts:
            print(measure(world, count))
    finally:
        runner.teardown_databases(databases)


if __name__ == "__main__":
    main()
