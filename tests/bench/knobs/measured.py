"""One reading with its cost. By itself, so that the process that reads loads nothing else."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from rigs.knob_check.reading import read_turns


def measured(*job: Any) -> tuple[float, float]:
    """Seconds of processor time of one reading, and the most memory so far, in MB."""
    begun = time.process_time()
    read_turns(*job)
    seconds = time.process_time() - begun
    # Not of getrusage, which counts what the process had in memory before it became this one.
    status = Path("/proc/self/status").read_text()
    most = next(line for line in status.splitlines() if line.startswith("VmHWM"))
    return seconds, int(most.split()[1]) / 1024
