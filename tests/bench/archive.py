"""How fast a production with large sounds leaves and comes back.

    python -m tests.bench.archive [megabytes]

Random bytes stand for sounds, because sounds do not pack. Prints a table in Markdown.
"""

from __future__ import annotations

import hashlib
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test.runner import DiscoverRunner
from django.test.utils import setup_test_environment

from notes.archive.loading import load
from notes.archive.writing import export
from notes.clips.storing import path_of
from notes.models import StoredSound
from tests.notes.archive.test_round_trip import forget
from tests.support.everything import fill
from tests.support.world import World, make_world

PIECE = 16 << 20


def keep_sounds(world: World, megabytes: int) -> None:
    for number in range(megabytes * (1 << 20) // PIECE):
        body = os.urandom(PIECE)
        sha256 = hashlib.sha256(body).hexdigest()
        default_storage.save(path_of(sha256), ContentFile(body))
        StoredSound.objects.create(
            production=world.production, sha256=sha256, bytes=PIECE, name=f"{number}.wav",
            rate_hz=48000, channels=2, seconds=60, brought_by=world.engineer,
        )  # fmt: skip


def main() -> None:
    megabytes = int(sys.argv[1]) if len(sys.argv) > 1 else 1024
    setup_test_environment()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        with tempfile.TemporaryDirectory() as folder:
            settings.MEDIA_ROOT = Path(folder, "media")
            world = make_world()
            fill(world)
            keep_sounds(world, megabytes)
            target = Path(folder, "a.zip")
            start = time.perf_counter()
            export(world.production, target)
            exported = time.perf_counter() - start
            forget()
            settings.MEDIA_ROOT = Path(folder, "other")
            start = time.perf_counter()
            load(target)
            loaded = time.perf_counter() - start
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            print("| MB | export s | s per GB | import s | s per GB | peak memory MB |")
            print("|---|---|---|---|---|---|")
            per = 1024 / megabytes
            print(f"| {megabytes} | {exported:.1f} | {exported * per:.1f} | {loaded:.1f} "
                  f"| {loaded * per:.1f} | {peak:.0f} |")  # fmt: skip
    finally:
        runner.teardown_databases(databases)


if __name__ == "__main__":
    main()
