"""Where pointers are read to point on one photo from the front, of the panels of folders.

python -m tests.bench.knobs.pointers FOLDER …

Panels of even number are those on which the limits were set.
"""

from __future__ import annotations

import json
import math
import sys
from collections import Counter, defaultdict
from pathlib import Path

import numpy as np

from rigs.knob_check.pointing import pointing
from tests.bench.knobs.drawn import LARGE
from tests.bench.knobs.reading import caps_of
from tests.support.panels import caps as looks
from tests.support.panels import draw

RIGHT, NEAR = 6.0, 15.0  # degrees: a fifth of an hour of a clock face, and half of one
KINDS = {"chicken-head": 0.8, "dot": 0.68, "trimmer with an arrow": 0.7}


def true_angles(number: int) -> list[float]:
    """Where each pointer points on the first picture of a panel, as its camera sees it."""
    rng = np.random.default_rng([20261201, number])
    panel = draw.panel(rng, large=number // 100 in LARGE)
    turns = draw.settings(rng, panel)
    camera = draw.from_front(rng, panel).camera
    out = []
    for cap, turn in zip(panel.caps, turns, strict=True):
        a, far = math.radians(turn), cap.radius * KINDS.get(cap.kind, 0.8)
        height = looks.marked_height(cap)
        tip = camera.sees(cap.at[0] + far * math.sin(a), cap.at[1] - far * math.cos(a), height)
        middle = camera.sees(*cap.at, height)
        out.append(math.degrees(math.atan2(tip[0] - middle[0], middle[1] - tip[1])))
    return out


def word(told: float | None, true: float) -> str:
    if told is None:
        return "not told"
    off = abs((told - true + 180) % 360 - 180)
    return "right" if off <= RIGHT else "near" if off <= NEAR else "wrong"


def main() -> None:
    counts: dict[tuple[int, str], Counter[str]] = defaultdict(Counter)
    for folder in sys.argv[1:]:
        for path in sorted(Path(folder).glob("???.json")):
            drawn, number = json.loads(path.read_text()), int(path.stem)
            data = path.with_suffix(".jpg").read_bytes()
            rows = zip(drawn["kinds"], caps_of(drawn), drawn["reference"], true_angles(number))  # noqa: B905
            for kind, cap, seen, true in rows:
                name = kind if seen["readable"] else f"{kind}, nobody could read"
                for key in (name, "all" if seen["readable"] else "nobody could read"):
                    counts[number % 2, key][word(pointing(data, cap), true)] += 1
    for half, name in enumerate(("set", "told")):
        print(f"\n| {name} | caps | within {RIGHT:.0f}°, % | {NEAR:.0f}° | wrong | not told |")
        print("|---|--:|--:|--:|--:|--:|")
        for key in sorted(key for of, key in counts if of == half):
            of = counts[half, key]
            share = 100 * of["right"] / of.total()
            print(
                f"| {key} | {of.total()} | {share:.0f} | {of['near']} | {of['wrong']} "
                f"| {of['not told']} |"
            )


if __name__ == "__main__":
    main()
