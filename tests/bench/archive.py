"""How fast a production with large sounds, or a long history, is exported and imported.

    python -m tests.bench.archive [megabytes [changes]]

Random bytes stand for sounds, because sounds do not pack. The changes turn one control of one rig,
to and fro. Prints a table in Markdown; the memory is what one step added to the process.
"""

from __future__ import annotations

import hashlib
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test.runner import DiscoverRunner
from django.test.utils import setup_test_environment

from notes.archive.load import load
from notes.archive.writer import export
from notes.clips.storage import path_of
from notes.models import StoredSound
from rigs.changes.chain import content_of, digest
from rigs.changes.edits import Change
from rigs.models import ChangeRow, Control, Revision, Rig
from rigs.models.parts import gateway
from rigs.revisions.writer import iso
from tests.notes.archive.test_round_trip import forget
from tests.support.everything import fill
from tests.support.world import World, make_world

PIECE = 16 << 20
START = datetime(2026, 1, 1, tzinfo=UTC)


def keep_sounds(world: World, megabytes: int) -> None:
    for number in range(megabytes * (1 << 20) // PIECE):
        body = os.urandom(PIECE)
        sha256 = hashlib.sha256(body).hexdigest()
        default_storage.save(path_of(sha256), ContentFile(body))
        StoredSound.objects.create(
            production=world.production,
            sha256=sha256,
            bytes=PIECE,
            name=f"{number}.wav",
            rate_hz=48000,
            channels=2,
            seconds=60,
            brought_by=world.engineer,
        )


def keep_changes(world: World, changes: int) -> None:
    """Straight into the tables, chained as the gateway does it, for there are very many."""
    rig = world.rig
    rig.refresh_from_db()
    part, turns = str(world.control.pk), ("4:00", "2:00")
    world.turn(turns[0])
    rig.refresh_from_db()
    parent, first = rig.head_digest, rig.head_number + 1
    made = []
    for place in range(changes):
        number, old, new = first + place, turns[place % 2], turns[(place + 1) % 2]
        at = START + timedelta(seconds=number)
        content = content_of(
            rig=str(rig.pk),
            number=number,
            parent=parent,
            at=iso(at),
            restored=None,
            author={"id": str(world.tech.pk), "name": world.tech.name},
            reason={"kind": "none", "words": "", "notes": []},
            changes=[Change(part, "control", "setting", old, new)],
        )
        made.append(
            (
                Revision(
                    rig=rig,
                    number=number,
                    author=world.tech,
                    author_name=world.tech.name,
                    at=at,
                    reason_kind="none",
                    parent_digest=parent,
                    digest=digest(content),
                ),
                old,
                new,
            )
        )
        parent = made[-1][0].digest
    Revision.objects.bulk_create([each for each, _, _ in made], batch_size=2000)
    ChangeRow.objects.bulk_create(
        [
            ChangeRow(
                revision=each,
                part=part,
                kind="control",
                field="setting",
                old_json=f'"{old}"',
                new_json=f'"{new}"',
            )
            for each, old, new in made
        ],
        batch_size=2000,
    )
    # The parts of a rig can be written through the gateway alone.
    with gateway():
        Rig.objects.filter(pk=rig.pk).update(head_number=first + changes - 1, head_digest=parent)
        Control.objects.filter(pk=part).update(setting=turns[changes % 2])


def main() -> None:
    megabytes = int(sys.argv[1]) if len(sys.argv) > 1 else 1024
    changes = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    setup_test_environment()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    try:
        with tempfile.TemporaryDirectory() as folder:
            settings.MEDIA_ROOT = Path(folder, "media")
            world = make_world()
            fill(world)
            keep_sounds(world, megabytes)
            if changes:
                keep_changes(world, changes)
            target = Path(folder, "a.zip")
            print("| what | s | processor s | added peak memory MB |\n|---|---|---|---|")
            told = measured("export", lambda: export(world.production, target))
            forget()
            # An empty storage: the import would find its files in the other one.
            settings.MEDIA_ROOT = Path(folder, "other")
            measured("import", lambda: load(target, digest=told))
            print(f"{target.stat().st_size / (1 << 20):.1f} MB in the archive")
    finally:
        runner.teardown_databases(databases)


def measured(what: str, step: Callable[[], Any]) -> Any:
    # ru_maxrss is in kilobytes on Linux, and never falls: what a step added is the difference.
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start, worked = time.perf_counter(), time.process_time()
    found = step()
    took, work = time.perf_counter() - start, time.process_time() - worked
    grew = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    print(f"| {what} | {took:.1f} | {work:.1f} | {grew:.0f} |", flush=True)
    return found


if __name__ == "__main__":
    main()
