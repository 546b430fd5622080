"""How long recall sheets take to print, for the demonstration's ten rigs.

python -m tests.bench.paper
"""

from __future__ import annotations

import os
import statistics
import time

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.core.management import call_command
from django.test.runner import DiscoverRunner

from rigs.models import Rig
from rigs.paper.pdf import Paper
from rigs.paper.sheets import recall_sheet
from rigs.revisions.read import revision


def main() -> None:
    call_command("demo", verbosity=0, stdout=open(os.devnull, "w"))  # noqa: SIM115
    taken = []
    for rig in Rig.objects.select_related("player", "production"):
        newest = revision(rig, rig.head_number)
        begun = time.perf_counter()
        recall_sheet(rig, newest, address="http://127.0.0.1:8000/", paper=Paper.A4)
        taken.append((time.perf_counter() - begun) * 1000)
    print(
        f"{len(taken)} rigs: {sum(taken):.0f} ms in all, median {statistics.median(taken):.0f} ms"
    )


if __name__ == "__main__":
    runner = DiscoverRunner(verbosity=0, interactive=False)
    config = runner.setup_databases()
    try:
        main()
    finally:
        runner.teardown_databases(config)
