"""How long one edit takes and how many bytes it costs, beside plain saves and two libraries.

    python -m tests.bench.record [edits]

A rig of 20 units, 100 controls and 15 inputs; each edit sets 1 to 3 fields (a dial, a unit's name,
an input's gain). Ours is measured as it is, with nothing told to the log of the production, and
with a reason in words, which are kept apart so that they can be removed. All ways run in one
process, in turn, on a database of their own; DATABASE_URL picks the engine, as everywhere. Prints a
table in Markdown; processor time is that of this process, without a database beside it.
"""

from __future__ import annotations

import os
import random
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

import reversion  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from reversion.models import Version  # noqa: E402

from core.proof import entries  # noqa: E402
from rigs.changes.edits import Add, Set  # noqa: E402
from rigs.changes.reasons import NO_REASON, Reason, ReasonKind  # noqa: E402
from rigs.models import Rig  # noqa: E402
from rigs.revisions.read import as_of  # noqa: E402
from rigs.revisions.record import record  # noqa: E402
from tests.bench.database import own_test_database
from tests.bench.models import PLAIN, ROW, WHOLE, PlainRig, RowRig, WholeRig  # noqa: E402
from tests.support.world import World, make_rig, make_world  # noqa: E402

UNITS, CONTROLS, INPUTS = 20, 100, 15
Edit = Callable[[int], None]
# A change with all that belongs to it: its entry in the log, and names and words kept apart.
OURS = ["rigs_revision", "rigs_changerow", "rigs_keyframe", "core_logentry", "core_personaltext"]


def what(count: int) -> list[tuple[int, int, dict[str, Any]]]:
    """Edit number `count`: (kind 0 unit / 1 control / 2 input, which one, new values)."""
    # By the number of the edit, so that every way makes the same edits.
    spin = random.Random(count)
    steps = [(1, spin.randrange(CONTROLS), {"setting": f"{spin.randrange(1, 5)}:{count % 60:02d}"})]
    if count % 3 > 0:
        steps.append((0, spin.randrange(UNITS), {"name": f"Unit {count}"}))
    if count % 3 > 1:
        steps.append((2, spin.randrange(INPUTS), {"gain_db": str(count % 60)}))
    return steps


def make_ours(world: World) -> tuple[Rig, list[list[str]]]:
    ids = [[str(uuid4()) for _ in range(n)] for n in (UNITS, CONTROLS, INPUTS)]
    unit = lambda n: ids[0][n % UNITS]  # noqa: E731
    parts = [Add(i, "unit", {"name": "Unit", "position": n}) for n, i in enumerate(ids[0])]
    parts += [
        Add(i, "control", {"unit": unit(n), "name": "Gain", "setting": "1:00", "position": n})
        for n, i in enumerate(ids[1])
    ]
    parts += [
        Add(i, "input", {"unit": unit(n), "name": "Input", "number": n, "position": n})
        for n, i in enumerate(ids[2])
    ]
    return make_rig(world.production, world.player, world.tech, parts=tuple(parts)), ids


def make_twin(rig_model: Any, models: list[Any]) -> tuple[Any, list[list[Any]]]:
    rig = rig_model.objects.create(name="Rig")
    rows = []
    for model, count in zip(models, (UNITS, CONTROLS, INPUTS), strict=True):
        rows.append([model.objects.create(rig=rig, name="Part", position=n) for n in range(count)])
    return rig, [[row.pk for row in kind] for kind in rows]


def saver(models: list[Any], ids: list[list[Any]]) -> Edit:
    def edit(count: int) -> None:
        with transaction.atomic():
            for kind, which, values in what(count):
                row = models[kind].objects.select_for_update().get(pk=ids[kind][which])
                for name, value in values.items():
                    setattr(row, name, value)
                row.save(update_fields=list(values))

    return edit


def measure(edit: Edit, edits: int, start: int) -> list[tuple[float, float]]:
    """Milliseconds of each edit, by the clock and of the processor."""
    times = []
    for count in range(start, start + edits):
        begun, worked = time.perf_counter(), time.process_time()
        edit(count)
        took = time.perf_counter() - begun, time.process_time() - worked
        times.append((took[0] * 1000, took[1] * 1000))
    return times


PG_SIZE = "SELECT sum(pg_total_relation_size(t::regclass)) FROM unnest(%s::text[]) t"
SQLITE_SIZE = """SELECT coalesce(sum(d.pgsize), 0)
  FROM dbstat d JOIN sqlite_master m ON m.name = d.name WHERE m.tbl_name = %s"""


def size(*tables: str) -> int:
    """Bytes on disk of the tables with all their indexes."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(PG_SIZE, [list(tables)])
            return int(cursor.fetchone()[0])
        total = 0
        for table in tables:
            cursor.execute(SQLITE_SIZE, [table])
            total += cursor.fetchone()[0]
        return total


def timed(call: Callable[[], Any], times: int = 30) -> float:
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        call()
        taken.append((time.perf_counter() - begun) * 1000)
    return statistics.median(taken)


def main(edits: int) -> None:
    world = make_world()
    ours, ids = make_ours(world)
    unheard, unheard_ids = make_ours(world)
    worded, worded_ids = make_ours(world)
    plain, plain_ids = make_twin(PlainRig, PLAIN)
    row_rig, row_ids = make_twin(RowRig, ROW)
    whole_rig, whole_ids = make_twin(WholeRig, WHOLE)
    kinds = ("unit", "control", "input")
    save_whole = saver(WHOLE, whole_ids)

    def edit_of(rig: Rig, ids: list[list[str]], count: int, reason: Reason = NO_REASON) -> None:
        steps = [Set(ids[kind][which], kinds[kind], values) for kind, which, values in what(count)]
        record(rig, steps, author=world.tech, base=rig.head_number, reason=reason)

    def unheard_edit(count: int) -> None:
        with entries.silent():
            edit_of(unheard, unheard_ids, count)

    def worded_edit(count: int) -> None:
        edit_of(worded, worded_ids, count, Reason(ReasonKind.CORRECTION, f"It was {count}."))

    def whole_edit(count: int) -> None:
        with reversion.create_revision():
            save_whole(count)

    history = [model.history.model._meta.db_table for model in (RowRig, *ROW)]  # type: ignore[attr-defined]
    ways: dict[str, tuple[Edit, list[str], int]] = {
        "plain save, no history": (saver(PLAIN, plain_ids), [], edits),
        "row-history library": (saver(ROW, row_ids), history, edits),
        "aggregate-version library": (
            whole_edit,
            ["reversion_revision", "reversion_version"],
            edits // 10,
        ),
        "ours": (lambda count: edit_of(ours, ids, count), OURS, edits),
        "ours, nothing told to the log": (unheard_edit, OURS, edits),
        "ours, with a reason in words": (worded_edit, OURS, edits),
    }
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in ways}
    grown = dict.fromkeys(ways, 0)
    rounds = 10
    for turn in range(rounds):  # in turn, so that a slow spell of the machine hits all of them
        for name, (edit, tables, count) in ways.items():
            before = size(*tables) if tables else 0
            times[name] += measure(edit, count // rounds, turn * (count // rounds))
            grown[name] += size(*tables) - before if tables else 0
    base, worked_base = _medians(times["plain save, no history"])
    reads = {
        "ours": lambda: as_of(ours, max(1, ours.head_number // 2)),
        "row-history library": lambda: [
            list(m.history.as_of(row_middle).filter(rig=row_rig))  # type: ignore[attr-defined]
            for m in ROW
        ],
        "aggregate-version library": lambda: [
            v.field_dict for v in Version.objects.filter(revision_id=whole_middle)
        ],
    }
    moments = ROW[1].history.order_by("history_date").values_list("history_date", flat=True)  # type: ignore[attr-defined]
    row_middle = moments[len(moments) // 2]
    all_whole = (
        Version.objects.order_by("revision_id").values_list("revision_id", flat=True).distinct()
    )
    whole_middle = all_whole[len(all_whole) // 2]
    print(
        f"{connection.vendor}, {edits} edits, {UNITS} units, {CONTROLS} controls, {INPUTS} inputs\n"
    )
    print("| way | median ms | ratio | processor ms | ratio | bytes per edit | as-of ms |")
    print("|---|---|---|---|---|---|---|")
    for name, (_, _, count) in ways.items():
        took, worked = _medians(times[name])
        read = f"{timed(reads[name]):.2f}" if name in reads else "–"
        by_clock = f"{took:.2f} | {took / base:.2f}"
        of_processor = f"{worked:.2f} | {worked / worked_base:.2f}"
        print(f"| {name} | {by_clock} | {of_processor} | {grown[name] / count:.0f} | {read} |")


def _medians(times: list[tuple[float, float]]) -> tuple[float, float]:
    """By the clock and of the processor."""
    by_clock, of_processor = zip(*times, strict=True)
    return statistics.median(by_clock), statistics.median(of_processor)


if __name__ == "__main__":
    with own_test_database():
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
