"""Draw the panels that the bench reads, into a folder: a documented photo and some later ones each.

python -m tests.bench.knobs.drawn FOLDER [PANELS] [FIRST] [STEP]
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from tests.support.panels import draw

VIEWS = 3
LARGE = (1, 7)  # hundreds of the numbers of panels with many caps


def pair_file(folder: Path, number: int) -> Path:
    return folder / f"{number:03}.json"


def draw_panel(folder: Path, number: int) -> None:
    """Panel `number`, whose chance depends on its number alone: photos and what is true of them."""
    rng = np.random.default_rng([20261201, number])
    panel = draw.panel(rng, large=number // 100 in LARGE)
    before = draw.settings(rng, panel)
    taking = draw.from_front(rng, panel)
    photo = draw.photograph(panel, before, taking)
    (folder / f"{number:03}.jpg").write_bytes(photo.jpeg)
    told: dict[str, Any] = {
        "kinds": [str(cap.kind) for cap in panel.caps],
        "inner": [cap.inner for cap in panel.caps],
        "reference": [asdict(seen) for seen in photo.caps],
        "views": [],
    }
    for view in range(VIEWS):
        after = draw.turned(rng, before)
        taking = draw.by_hand(rng, panel)
        seen = draw.photograph(panel, after, taking)
        name = f"{number:03}-{view}.jpg"
        (folder / name).write_bytes(seen.jpeg)
        told["views"].append(
            {
                "file": name,
                "turn": [b - a for a, b in zip(before, after, strict=True)],
                "caps": [asdict(cap) for cap in seen.caps],
                "light": taking.light,
                "off_axis": taking.camera.off_axis,
                "cable": taking.cable,
            }
        )
    pair_file(folder, number).write_text(json.dumps(told, default=bool))


def main() -> None:
    folder = Path(sys.argv[1])
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 120
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    step = int(sys.argv[4]) if len(sys.argv) > 4 else 1
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(first, first + count * step, step):
        if not pair_file(folder, number).exists():
            draw_panel(folder, number)


if __name__ == "__main__":
    main()
