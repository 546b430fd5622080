"""What was read of the drawn panels, as the tables of docs/measurements.md.

python -m tests.bench.knobs.score FOLDER [TOLD]

The limits were set on every other panel of the folder, and the others are told; or on all of it,
and those of the second folder are told, which were drawn and read afterwards.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from rigs.knob_check.doubt import Limits, reason_for
from rigs.knob_check.found import Found
from rigs.knob_check.scoring import HEAD, Try, tally

Row = dict[str, Any]


def halves(folder: Path) -> tuple[list[Row], list[Row]]:
    sets: tuple[list[Row], list[Row]] = ([], [])
    for path in sorted(folder.glob("???.read")):
        sets[int(path.stem) % 2].extend(json.loads(path.read_text()))
    return sets


def found_of(row: Row) -> Found | None:
    return Found(**row["found"]) if row["found"] else None


def try_of(row: Row, limits: Limits) -> Try:
    found = found_of(row)
    sure = found is not None and reason_for(found, pair=row["pair"], limits=limits) is None
    return Try(
        found.turn if found is not None and sure else None,
        row["turn"],
        row["readable"],
        row["kind"],
        row["light"],
        row["off_axis"],
    )


def table(tries: Iterable[Try], key: Callable[[Try], str]) -> None:
    groups: dict[str, list[Try]] = {}
    for each in tries:
        groups.setdefault(key(each), []).append(each)
    print(f"\n| | {HEAD} |")
    for name in sorted(groups):
        print(f"| {name} | {tally(groups[name]).row()} |")


def main() -> None:
    limits = Limits()
    sets = halves(Path(sys.argv[1]))
    if len(sys.argv) > 2:
        told = halves(Path(sys.argv[2]))
        sets = (sets[0] + sets[1], told[0] + told[1])
    first, second = ([try_of(row, limits) for row in rows] for rows in sets)
    print(f"| | {HEAD} |")
    print(f"| those on which the limits were set | {tally(first).row()} |")
    print(f"| the others | {tally(second).row()} |")
    table(second, lambda t: t.kind)
    table(
        second, lambda t: f"{10 * int(t.off_axis // 10):02}° to {10 * int(t.off_axis // 10) + 10}°"
    )
    table(second, lambda t: t.light)


if __name__ == "__main__":
    main()
