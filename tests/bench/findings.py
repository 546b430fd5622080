"""How long it takes to lay out the demonstration's rigs, ask all rules, and fetch the words.

    python -m tests.bench.findings

Prints a table in Markdown: least and median time in ms of so many runs, and the queries.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Callable

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.db import connection
from django.test.runner import DiscoverRunner
from django.test.utils import CaptureQueriesContext

from rigs.checks.acceptance import findings_with_words
from rigs.checks.load import benches
from rigs.checks.run import findings
from rigs.models import Rig

RIGS, RUNS = 9, 40


def timed(what: str, step: Callable[[], object]) -> str:
    step()
    # After one run that is not counted: caches are filled then.
    taken = []
    for _ in range(RUNS):
        started = time.perf_counter()
        step()
        taken.append((time.perf_counter() - started) * 1000)
    with CaptureQueriesContext(connection) as queries:
        step()
    return f"| {what} | {min(taken):.1f} | {statistics.median(taken):.1f} | {len(queries)} |"


def main() -> None:
    runner = DiscoverRunner(verbosity=0)
    databases = runner.setup_databases()
    call_command("demo", stdout=open(os.devnull, "w"))  # noqa: SIM115
    rigs = list(Rig.objects.filter(retired=False).select_related("player")[:RIGS])
    laid = benches(rigs)
    print("| step | least ms | median ms | queries |\n|---|---|---|---|")
    print(timed("lay out from the database", lambda: benches(rigs)))
    print(timed("ask all rules", lambda: [findings(bench) for bench in laid.values()]))
    print(timed("both, with the words that accept", lambda: findings_with_words(rigs)))
    runner.teardown_databases(databases)


if __name__ == "__main__":
    main()
