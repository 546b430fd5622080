"""What proofs of a long log cost: milliseconds of the processor.

[DATABASE_URL=postgres://…] python -m tests.bench.proofs ENTRIES
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from core import clock
from core.models import Checkpoint, LogEntry, Production
from core.proof.checkpoints import consistency, inclusion, take
from tests.bench.database import own_test_database


def fill(production: Production, entries: int) -> int:
    """How many entries the log has then."""
    at = clock.now()
    made = (
        LogEntry(
            production=production, table="notes.note", key=str(uuid4()), digest=bytes(32), at=at
        )
        for _ in range(entries)
    )
    LogEntry.objects.bulk_create(made, batch_size=5000)
    return LogEntry.objects.filter(production=production).count()


def tell(what: str, act: Callable[[], Any]) -> None:
    begun = time.process_time()
    act()
    print(f"| {what} | {(time.process_time() - begun) * 1000:.0f} |")


def main(entries: int) -> None:
    production = Production.objects.create(name="A long one")
    size = fill(production, entries)
    tell("the first checkpoint of all of it", lambda: take(production.pk, Checkpoint.Why.ASKED))
    tell("grew by 20 entries", lambda: consistency(production.pk, size - 20, size))
    tell("an entry is in it", lambda: inclusion(production.pk, size // 3, size))


if __name__ == "__main__":
    with own_test_database():
        main(int(sys.argv[1]))
