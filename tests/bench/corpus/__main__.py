"""See tests.bench.corpus. The number after the command is how many sources of each half at most."""

from __future__ import annotations

import re
import sys
from collections import Counter
from functools import partial
from pathlib import Path

from tests.bench.corpus import packages
from tests.bench.corpus.sources import SETTING, TELLING, sources


def main(command: str, *rest: str) -> None:
    if command == "fetch":
        for words in packages.fetch():
            print(f"could not be had: {words}")
    if command == "own":
        from tests.bench.corpus import causes  # noqa: PLC0415 - needs none of the packages

        causes.own(Path(rest[0]))
        return
    if missing := packages.absent():
        print(f"not here: {', '.join(missing)} (python -m tests.bench.corpus fetch)")
    if command in ("fetch", "list"):
        _list()
        return
    ranges = [found for each in rest if (found := re.fullmatch(r"(?:(\d+)-)?(\d+)", each))]
    first, most = (int(ranges[0][1] or 1), int(ranges[0][2])) if ranges else (1, 10_000)
    halves = [half for half in (SETTING, TELLING) if half in rest] or [SETTING, TELLING]
    if not sources():
        raise SystemExit("No recordings are here: nothing was measured.")
    from tests.bench.corpus import causes, delay, rehearsals  # noqa: PLC0415 - after asking what is there

    # Each recording as the two kinds of pair that the first table does not have it as.
    turns = (1, 2) if "turned" in rest else (0,)
    benches = {
        "delay": partial(delay.main, turns=turns, first=first),
        "causes": partial(causes.main, first=first),
        "rehearsals": rehearsals.main,
    }
    if command not in benches:
        raise SystemExit("fetch, list, delay, causes, rehearsals or own FOLDER")
    for half in halves:
        benches[command](half, most)


def _list() -> None:
    for package in (*packages.SOUNDS, packages.SPEECH, *packages.RESPONSES):
        if package not in packages.absent():
            print(f"{package}: {'; '.join(packages.licences(package))}")
    counts = Counter((each.half, each.kind) for each in sources())
    groups = {(each.half, each.group) for each in sources()}
    for (half, kind), count in sorted(counts.items()):
        print(f"{half} half: {count} of {kind}")
    for half in (SETTING, TELLING):
        print(f"{half} half: {sum(each[0] == half for each in groups)} sources")


if __name__ == "__main__":
    main(*(sys.argv[1:] or ["list"]))
