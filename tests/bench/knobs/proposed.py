"""Circles proposed over the caps of drawn panels, from pins put beside their middles.

python -m tests.bench.knobs.proposed FOLDER [PANELS]
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections import defaultdict
from pathlib import Path

import numpy as np

from rigs.knob_check.proposing import propose_circle
from tests.support.panels.camera import SIZE

BESIDE = 0.3  # radii between the pin and the middle
PLACE, RADIUS = 0.15, 0.15  # of the radius: as good as a hand draws it


def main() -> None:
    paths = sorted(Path(sys.argv[1]).glob("???.json"))
    rng = np.random.default_rng(5)
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    begun = time.process_time()
    for path in paths[: int(sys.argv[2]) if len(sys.argv) > 2 else None]:
        told = json.loads(path.read_text())
        data = path.with_suffix(".jpg").read_bytes()
        for kind, cap in zip(told["kinds"], told["reference"], strict=True):
            way, far = rng.uniform(0, 2 * math.pi), cap["radius"] * rng.uniform(0, BESIDE)
            x, y = cap["x"] + far * math.cos(way), cap["y"] + far * math.sin(way)
            found = propose_circle(data, x / SIZE[0], y / SIZE[1])
            for name in (kind, "all"):
                counts[name][0] += 1
                counts[name][1] += found is not None
                counts[name][2] += found is not None and (
                    math.hypot(found.x * SIZE[0] - cap["x"], found.y * SIZE[1] - cap["y"])
                    <= PLACE * cap["radius"]
                    and abs(found.radius * SIZE[0] / cap["radius"] - 1) <= RADIUS
                )
    print("| | caps | proposed | as good as drawn by hand, % |\n|---|--:|--:|--:|")
    for name, (caps, proposed, good) in sorted(counts.items()):
        print(f"| {name} | {caps} | {proposed} | {100 * good / caps:.1f} |")
    print(
        f"{(time.process_time() - begun) / max(1, counts['all'][0]):.2f} s of processor time each"
    )


if __name__ == "__main__":
    main()
