"""Where knobs are lost: reasons by kind of cap, view and light, of what a person could read, and
whether the cap was found at its place. On the panels on which limits are set; of all of the folder
with `all`, which prints the table of docs/measurements.md alone.

python -m tests.bench.knobs.losses FOLDER [all]
"""

from __future__ import annotations

import math
import sys
from collections import Counter, defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from rigs.knob_check.doubt import LIMITS, reason_for
from tests.bench.knobs.score import found_of, halves

Row = dict[str, Any]
PLACED = 0.15  # radii


def outcome(row: Row) -> str:
    found = found_of(row)
    if found is None:
        return str(row["reason"])
    reason = reason_for(found, pair=row["pair"], limits=LIMITS)
    off = abs((found.turn - row["turn"] + 180) % 360 - 180)
    placed = math.dist(found.place, row["place"]) < PLACED * row["radius"]
    where = "" if placed else ", cap not at its place"
    right = "" if off <= 4 else f", turn off by {'4 to 8' if off <= 8 else 'more than 8'}°"
    return f"{reason or 'told'}{right}{where}"


def refusals(rows: list[Row]) -> None:
    """How many were refused, by kind of cap and by reason."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for row in rows:
        found = found_of(row)
        reason = reason_for(found, pair=row["pair"], limits=LIMITS) if found else row["reason"]
        counts[row["kind"]][str(reason or "")] += 1
    reasons = sorted({reason for of in counts.values() for reason in of if reason})
    print(f"| | could be read | {' | '.join(reasons)} |")
    print(f"|---|--:|{'--:|' * len(reasons)}")
    for kind in sorted(counts):
        of = counts[kind]
        print(f"| {kind} | {of.total()} | {' | '.join(str(of[each]) for each in reasons)} |")


def main() -> None:
    if len(sys.argv) > 2:
        every = [row for half in halves(Path(sys.argv[1])) for row in half]
        refusals([row for row in every if row["readable"]])
        return
    rows = [row for row in halves(Path(sys.argv[1]))[0] if row["readable"]]
    keys: list[Callable[[Row], str]] = [
        lambda row: "all",
        lambda row: str(row["kind"]),
        lambda row: f"{10 * int(row['off_axis'] // 10)}° and more",
        lambda row: str(row["light"]),
    ]
    for key in keys:
        counts: dict[str, Counter[str]] = defaultdict(Counter)
        for row in rows:
            counts[key(row)][outcome(row)] += 1
        for name in sorted(counts):
            print(f"\n{name}: {sum(counts[name].values())}")
            for what, many in counts[name].most_common(9):
                print(f"  {many:4} {what}")


if __name__ == "__main__":
    main()
