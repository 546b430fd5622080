"""Read the drawn panels of a folder, and keep what was found beside them.

python -m tests.bench.knobs.reading FOLDER [BEGIN]
"""

from __future__ import annotations

import json
import os
import sys
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any

# As in the process that reads what somebody sent (`core.uploads.apart`): one thread.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")

from rigs.knob_check.reading import Cap, read_turns
from tests.support.panels.camera import SIZE


def caps_of(told: dict[str, Any]) -> list[Cap]:
    return [
        Cap(seen["x"] / SIZE[0], seen["y"] / SIZE[1], seen["radius"] / SIZE[0], inner)
        for seen, inner in zip(told["reference"], told["inner"], strict=True)
    ]


def read_panel(path: Path) -> list[dict[str, Any]]:
    """A row for each cap of each later photo."""
    told = json.loads(path.read_text())
    reference = path.with_suffix(".jpg").read_bytes()
    rows = []
    for view in told["views"]:
        begun = time.process_time()
        readings = read_turns(reference, path.with_name(view["file"]).read_bytes(), caps_of(told))
        seconds = time.process_time() - begun
        for i, reading in enumerate(readings):
            rows.append(
                {
                    "file": view["file"],
                    "cap": i,
                    "kind": told["kinds"][i],
                    "light": view["light"],
                    "off_axis": view["off_axis"],
                    "readable": view["caps"][i]["readable"],
                    "turn": view["turn"][i],
                    "place": [view["caps"][i]["x"], view["caps"][i]["y"]],
                    "radius": view["caps"][i]["radius"],
                    "found": asdict(reading.found) if reading.found else None,
                    "pair": told["inner"][i] > 0,
                    "reason": reading.reason,
                    "seconds": seconds,
                }
            )
    return rows


def main() -> None:
    paths = sorted(Path(sys.argv[1]).glob("???.json"))
    # Several processes share the work: each begins elsewhere.
    begin = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for path in paths[begin:] + paths[:begin]:
        kept = path.with_suffix(".read")
        if not kept.exists():
            kept.write_text(json.dumps(read_panel(path), default=float))


if __name__ == "__main__":
    main()
