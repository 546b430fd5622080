"""How long the page of clips side by side takes, first and again, and how large it is.

    python -m tests.bench.side_by_side [seconds of a clip]

Two and six clips of noise, mono, 48 kHz. Prints a table in Markdown.
"""

from __future__ import annotations

import gzip
import os
import sys
import time

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.runner import DiscoverRunner
from django.test.utils import CaptureQueriesContext, setup_test_environment
from django.urls import reverse

from notes.models import Clip
from tests.support.clips_side_by_side import clip_of, noise, shaped
from tests.support.world import World, make_world


def measure(world: World, clips: list[Clip], seconds: float) -> str:
    client = Client()
    client.force_login(world.engineer)
    url = reverse("notes:compare", args=[world.production.pk])
    asked = {"clip": [str(clip.pk) for clip in clips]}
    client.get(url, asked)
    # After a request that warms the process up, so that the first one timed differs by the cache
    # alone.
    cache.clear()
    first, body = _timed(client, url, asked)
    with CaptureQueriesContext(connection) as queries:
        client.get(url, asked)
        number = len(queries)
    again = sorted(_timed(client, url, asked)[0] for _ in range(5))[2]
    size = len(gzip.compress(body))
    return f"| {len(clips)} | {seconds:g} | {first:.0f} | {again:.0f} | {number} | {size} |"


def _timed(client: Client, url: str, asked: dict[str, list[str]]) -> tuple[float, bytes]:
    start = time.perf_counter()
    body = client.get(url, asked).content
    return (time.perf_counter() - start) * 1000, body


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 8.0
    setup_test_environment()
    runner = DiscoverRunner(verbosity=0)
    old = runner.setup_databases()
    try:
        world = make_world()
        source = noise(seconds)
        clips = [
            clip_of(world, shaped(source, 100 * n, 200 * n, -3), f"Clip {n}") for n in range(1, 7)
        ]
        print("| clips | seconds each | first ms | again ms | queries | compressed bytes |")
        print("|---|---|---|---|---|---|")
        for count in (2, 6):
            print(measure(world, clips[:count], seconds))
    finally:
        runner.teardown_databases(old)


if __name__ == "__main__":
    main()
