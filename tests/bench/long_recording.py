"""A rehearsal of many minutes and channels: time and memory of finding its takes, and of a cut.

python -m tests.bench.long_recording [minutes] [channels] [format]

The file is made here (noise in takes of four minutes, faint noise in pauses of one), and read in a
process of its own, so that the peak of its memory is its own. Formats: wav (RF64 beyond 4 GB) and
flac.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from notes.clips.cut import CutSection
from notes.clips.decoder_jobs import cut_part
from notes.takes.find import find_takes
from notes.takes.levels import unpacked
from notes.takes.reading import hear_long

RATE = 48_000
TAKE_S, PAUSE_S = 240, 60


def make(path: Path, minutes: int, channels: int) -> None:
    noise = np.random.default_rng(7).normal(0, 0.05, (RATE, channels)).astype(np.float32)
    kind = "FLAC" if path.suffix == ".flac" else "RF64"
    with soundfile.SoundFile(path, "w", RATE, channels, "PCM_24", format=kind) as file:
        for second in range(minutes * 60):
            playing = second % (TAKE_S + PAUSE_S) >= PAUSE_S
            file.write(noise if playing else noise * 0.003)


def measure(path: Path, what: str) -> None:
    """Do one thing with the file; print processor seconds, peak memory and what came out."""
    began, processor = time.perf_counter(), time.process_time()
    if what == "find":
        header, survey, levels = hear_long(path, longest_s=1e6, within_s=1e6)
        takes = find_takes([unpacked(levels, header.channels)], survey.frames / header.rate)
        result = {"takes": len(takes), "levels_kb": round(len(levels) / 1000)}
    else:
        with tempfile.TemporaryDirectory() as folder:
            info = soundfile.info(path)
            part = CutSection((3 % info.channels,), info.frames // 2, 60 * RATE)
            cut_part(
                path,
                part,
                working=Path(folder) / "a.flac",
                preview=Path(folder) / "a.m4a",
                within_s=1e6,
                silent_ok=False,
            )
        result = {"cut_s": 60}
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    figures = {
        "processor_s": round(time.process_time() - processor, 1),
        "wall_s": round(time.perf_counter() - began, 1),
        "peak_mb": round(peak_mb),
    }
    print(json.dumps(figures | result))


def main(minutes: int = 90, channels: int = 32, ending: str = "wav") -> None:
    with tempfile.TemporaryDirectory(dir=Path.home()) as folder:
        path = Path(folder) / f"rehearsal.{ending}"
        make(path, minutes, channels)
        print(
            f"{minutes} minutes, {channels} channels, {path.stat().st_size / 1e9:.2f} GB, {ending}"
        )
        for what in ("find", "cut"):
            command = [sys.executable, "-m", "tests.bench.long_recording", "--one", what, str(path)]
            done = subprocess.run(command, check=True, capture_output=True, text=True)
            print(f"{what}: {done.stdout.strip()}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        measure(Path(sys.argv[3]), sys.argv[2])
    else:
        given = sys.argv[1:]
        main(*(int(each) for each in given[:2]), *given[2:])
