"""Photos of other panels, which must not be taken for the documented one.

python -m tests.bench.knobs.strangers FOLDER
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from rigs.knob_check.doubt import Reason
from rigs.knob_check.reading import read_turns
from tests.bench.knobs.reading import caps_of


def main() -> None:
    paths = sorted(Path(sys.argv[1]).glob("???.json"))
    most = int(sys.argv[2]) if len(sys.argv) > 2 else len(paths)
    photos = told = 0
    for i, path in enumerate(paths[:most]):
        other = paths[(i + 1) % len(paths)]
        reference = path.with_suffix(".jpg").read_bytes()
        caps = caps_of(json.loads(path.read_text()))
        readings = read_turns(reference, other.with_suffix(".jpg").read_bytes(), caps)
        photos += 1
        if any(reading.reason != Reason.OTHER_PANEL for reading in readings):
            turns = sum(reading.turn is not None for reading in readings)
            told += turns
            print(f"{other.stem} was taken for {path.stem}: {turns} of {len(caps)} turns told")
    print(f"{photos} photos of other panels, {told} turns told")


if __name__ == "__main__":
    main()
