"""What it costs to read a sound in a process of its own rather than here.

python -m tests.bench.decoder_process
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from notes.clips import decoder_process
from notes.clips.decoder_jobs import hear
from tests.bench.listening import write_programme


def best_ms(act: Callable[[], object], times: int) -> float:
    best = float("inf")
    for _ in range(times):
        begun = time.perf_counter()
        act()
        # The least: a busy machine only ever adds time.
        best = min(best, time.perf_counter() - begun)
    return best * 1000


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "60.wav"
        write_programme(path, 60)
        start = best_ms(lambda: decoder_process.run(os.getpid, seconds=60), 1)
        ask = best_ms(lambda: decoder_process.run(os.getpid, seconds=60), 200)
        there = best_ms(
            lambda: decoder_process.run(hear, path, longest_s=600, within_s=60, seconds=60), 5
        )
        here = best_ms(lambda: hear(path, longest_s=600, within_s=60), 5)
    print(f"start {start:.0f} ms, one question and answer {ask:.2f} ms")
    print(f"hear 60 s of two channels: {there:.0f} ms there, {here:.0f} ms here")


if __name__ == "__main__":
    main()
