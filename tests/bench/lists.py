"""How long 10,000 inputs take to read, to export and to print, as the list and as a show's.

python -m tests.bench.lists
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from uuid import uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()


from core.models import Leg, Show
from rigs.changes.edits import Add
from rigs.lists.input_list import as_rows, day_grid, inputs_of
from rigs.lists.sheets import write_csv
from rigs.lists.workbook import write_xlsx
from rigs.models import ShowInput
from rigs.shows.services import rows_of
from tests.bench.database import own_test_database
from tests.support.world import World, input_fields, make_world

MANY = 10_000


def fill(world: World) -> Show:
    """As many inputs as a list may have, every tenth with another microphone that day."""
    fields = input_fields(world.unit.pk, world.mic.pk)
    for start in range(0, MANY, 1000):
        world.record(
            *(
                Add(str(uuid4()), "input", {**fields, "name": f"Input {n}", "number": n + 100})
                for n in range(start, start + 1000)
            )
        )
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on="2026-09-01", ends_on="2026-09-30"
    )
    show = Show.objects.create(leg=leg, held_on="2026-09-04", room="Hall")
    ShowInput.objects.bulk_create(
        ShowInput(show=show, input=entry, device=world.other_mic, why="hire", words="Hired.")
        for entry in inputs_of(world.production)[::10]
    )
    return Show.objects.select_related("leg__production").get()


def told(what: str, work: Callable[[], object]) -> None:
    begun = time.perf_counter()
    work()
    print(f"| {what} | {(time.perf_counter() - begun) * 1000:.0f} |", flush=True)


def main() -> None:
    world = make_world()
    show = fill(world)
    print(f"| {MANY} inputs | ms |\n|---|---|")
    told("the list, CSV", lambda: write_csv(as_rows(inputs_of(world.production))))
    told("the list, XLSX", lambda: write_xlsx(as_rows(inputs_of(world.production)), "List"))
    told("a show’s list", lambda: rows_of(show))
    told("a show’s list, CSV", lambda: write_csv(day_grid(rows_of(show))))
    told("a show’s list, XLSX", lambda: write_xlsx(day_grid(rows_of(show)), "List"))


if __name__ == "__main__":
    with own_test_database():
        main()
