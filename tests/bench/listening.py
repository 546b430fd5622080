"""Loudness and true peak of long programmes, beside pyloudnorm and the ffmpeg program's meter.

python -m tests.bench.listening

One run side by side, each the best of three, one thread each. pyloudnorm measures an array, so
the two marked “array” get one, ours in blocks of it; the others read the file, which is counted.
Memory is the most that a process of its own had resident.
"""

from __future__ import annotations

import os

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")

import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from pyloudnorm import Meter

from notes.clips.measure import ClipMeter
from notes.listening.meters import LoudnessMeter, PeakMeter

RATE = 48_000
BLOCK = 1 << 17


def write_programme(path: Path, seconds: int) -> None:
    """Pink-like noise in two channels that swells and fades, 24 bit."""
    rng = np.random.default_rng(1770)
    with soundfile.SoundFile(path, "w", RATE, 2, "PCM_24", format="WAV") as file:
        for second in range(seconds):
            noise = rng.standard_normal((RATE, 2))
            # White noise plus its running sum, each second brought back to 0, falls with frequency.
            noise = 0.4 * noise + np.cumsum(noise - noise.mean(axis=0), axis=0) / 200
            swell = 0.02 + 0.1 * (1 + np.sin(2 * np.pi * second / 23))
            file.write(noise * swell)


def blocks(path: Path) -> Iterator[Any]:
    with soundfile.SoundFile(path) as file:
        while len(block := file.read(BLOCK, dtype="float32", always_2d=True)):
            yield block


def ours_loudness(path: Path) -> tuple[float, float]:
    meter = LoudnessMeter(RATE, 2)
    for block in blocks(path):
        meter.add(block)
    return meter.result().integrated, float("nan")


def ours_both(path: Path) -> tuple[float, float]:
    loud, top = LoudnessMeter(RATE, 2), PeakMeter(RATE, 2)
    for block in blocks(path):
        loud.add(block)
        top.add(block)
    return loud.result().integrated, top.true_peak()


def ours_everything(path: Path) -> tuple[float, float]:
    gauge = ClipMeter(RATE, 2)
    for block in blocks(path):
        gauge.add(block)
    found = gauge.figures()
    return found["integrated"], found["true_peak"]


# Read once and outside the timing, as the meters of arrays are given one.
@lru_cache(maxsize=1)
def array(path: Path) -> Any:
    return soundfile.read(path, dtype="float64")[0]


def with_pyloudnorm(path: Path) -> tuple[float, float]:
    return Meter(RATE, filter_class="DeMan").integrated_loudness(array(path)), float("nan")


def ours_on_array(path: Path) -> tuple[float, float]:
    meter, samples = LoudnessMeter(RATE, 2), array(path)
    for start in range(0, len(samples), BLOCK):
        meter.add(samples[start : start + BLOCK])
    return meter.result().integrated, float("nan")


def by_ffmpeg(options: str) -> Callable[[Path], tuple[float, float]]:
    def run(path: Path) -> tuple[float, float]:
        command = [
            "ffmpeg",
            "-hide_banner",
            "-nostats",
            "-threads",
            "1",
            "-i",
            str(path),
            "-af",
            f"ebur128=framelog=verbose{options}",
            "-f",
            "null",
            "-",
        ]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stderr
        peak = re.search(r"Peak:\s+(\S+) dBFS", said)
        level = re.search(r"I:\s+(\S+) LUFS", said)
        assert level
        return float(level[1]), float(peak[1]) if peak else float("nan")

    return run


METERS: dict[str, Callable[[Path], tuple[float, float]]] = {
    "pyloudnorm, loudness, array": with_pyloudnorm,
    "ours, loudness, array": ours_on_array,
    "ours, loudness": ours_loudness,
    "ffmpeg, loudness": by_ffmpeg(""),
    "ffmpeg, loudness and true peak": by_ffmpeg(":peak=true"),
    "ours, loudness and true peak": ours_both,
    "ours, all that is kept of a clip": ours_everything,
}


def memory_mb(name: str, path: Path) -> float:
    """The most that a process measuring `path` had resident; NaN for another's program."""
    if name.startswith("ffmpeg"):
        return float("nan")
    command = [sys.executable, "-m", "tests.bench.listening", name, str(path)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return float(said)


def measured_here(name: str, path: Path) -> None:
    METERS[name](path)
    # Not getrusage: that also counts what the parent had when it started this process.
    status = Path("/proc/self/status").read_text()
    print(int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024)  # type: ignore[index]


def main() -> None:
    print("| meter | length, s | s | × realtime | LUFS | dBTP | memory, MB |")
    print("|---|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for seconds in (60, 600):
            path = Path(folder) / f"{seconds}.wav"
            write_programme(path, seconds)
            best = dict.fromkeys(METERS, float("inf"))
            said = {}
            for _ in range(3):  # in turns, so that a busy moment of the machine hits all alike
                array(path)
                for name, meter in METERS.items():
                    begun = time.perf_counter()
                    said[name] = meter(path)
                    best[name] = min(best[name], time.perf_counter() - begun)
            for name, took in best.items():
                level, peak = said[name]
                print(
                    f"| {name} | {seconds} | {took:.3f} | {seconds / took:.0f} | {level:.2f} "
                    f"| {peak:.2f} | {memory_mb(name, path):.0f} |"
                )


if __name__ == "__main__":
    measured_here(sys.argv[1], Path(sys.argv[2])) if len(sys.argv) > 1 else main()
