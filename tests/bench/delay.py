"""How often the delay of two captures is found, refused, or wrong, on made-up pairs.

python -m tests.bench.delay 40
python -m tests.bench.delay 12 shared

So many pairs of each source (docs/measurements.md). Wrong: sure of itself, and off by 0.3 ms or
more (10 cm of air) or of the wrong polarity. `before` is plain cross-correlation.
`shared` is instead how much of one sound the comparison of clips finds in two (relation.relate).
"""

from __future__ import annotations

import sys

import numpy as np

from notes.listening.align import align
from notes.listening.delay import delay_between
from notes.listening.relation import relate
from tests.support.captures import RATE, SOURCES, make_pair, two_takes

WRONG_S = 0.0003
PLAIN_SURE = 0.25


def main(count: int) -> None:
    print(
        "| source | pairs | found | refused | wrong | least confidence | most refused |"
        " median error, ms | before: found | refused | wrong |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    for source in SOURCES:
        print(_row(source, count), flush=True)
    for source in ("one_note", "bass_line", "driven_guitar", "drum"):
        sounds = (two_takes(source, seed) for seed in range(count // 2))
        sure = [delay_between(*each, RATE).confidence for each in sounds]
        wrong = sum(each >= 0.5 for each in sure)
        print(
            f"| two takes: {source} | {len(sure)} | – | {len(sure) - wrong} | {wrong} | – | "
            f"{max(sure):.2f} | – | | | |",
            flush=True,
        )


def shared(count: int) -> None:
    print("| source | pairs of each | one performance, least | median | two takes, median | most |")
    print("|---|---|---|---|---|---|")
    for source in SOURCES:
        pairs = [make_pair(source, seed) for seed in range(count)]
        one = sorted(relate(each.first, each.second, (RATE, RATE)).shared for each in pairs)
        takes = (two_takes(source, seed) for seed in range(count))
        two = sorted(relate(*each, (RATE, RATE)).shared for each in takes)
        print(
            f"| {source} | {count} | {one[0]:.2f} | {np.median(one):.2f} | {np.median(two):.2f} |"
            f" {two[-1]:.2f} |",
            flush=True,
        )


def _row(source: str, count: int) -> str:
    said, plain, errors = [], [], []
    for seed in range(count):
        pair = make_pair(source, seed)
        got = delay_between(pair.first, pair.second, RATE)
        old = align(pair.first, pair.second, RATE, 0.05)
        off = abs(got.delay_s - pair.delay_s)
        right = off < WRONG_S and got.polarity == pair.polarity
        said.append((got.is_certain, right, got.confidence))
        right_before = abs(old.delay_s - pair.delay_s) < WRONG_S and old.polarity == pair.polarity
        plain.append((old.confidence >= PLAIN_SURE, right_before, old.confidence))
        if got.is_certain and right:
            errors.append(off * 1000)
    found = [c for sure, right, c in said if sure and right]
    refused = [c for sure, _, c in said if not sure]
    return (
        f"| {source} | {count} | {_counts(said)} | {min(found, default=0):.2f} | "
        f"{max(refused, default=0):.2f} | {np.median(errors) if errors else 0:.3f} | "
        f"{_counts(plain)} |"
    )


def _counts(said: list[tuple[bool, bool, float]]) -> str:
    found = sum(sure and right for sure, right, _ in said)
    refused = sum(not sure for sure, _, _ in said)
    return f"{found} | {refused} | {len(said) - found - refused}"


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    (shared if "shared" in sys.argv else main)(wanted)
