"""The recordings as sources, each in one half for good: to set limits on, or to tell results of."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from tests.bench.corpus import packages

RATE = 48_000
LEAST_S, MOST_S = 2.0, 8.0
SETTING, TELLING = "setting", "telling"
DRUM_KIT = "drum kit"
# Said once, so that no result can choose its half.
_SEED = b"toneledger corpus, split once, 2026"
Sound = NDArray[np.float64]


@dataclass(frozen=True)
class Source:
    """`group` is what was recorded together: a loop, a song, a drum kit; the half goes by it."""

    kind: str
    group: str
    name: str
    path: Path
    at_s: float = 0.0
    take: int = 0

    def read(self) -> Sound:
        """Up to 8 s, mono at 48 kHz, peak 0.5; shape (frames,)."""
        return pattern(self.path, self.take) if is_kit(self) else excerpt(self.path, self.at_s)

    @property
    def half(self) -> str:
        return half_of(self.group)


def half_of(name: str) -> str:
    return (SETTING, TELLING)[hashlib.sha256(_SEED + name.encode()).digest()[0] & 1]


def sources() -> list[Source]:
    return [*_loops(), *_songs(), *_kits()]


def of_half(half: str) -> list[Source]:
    """In an order that no name decides, so that the first few are a fair sample."""
    mine = [each for each in sources() if each.half == half]
    return sorted(mine, key=lambda each: hashlib.sha256(_SEED + each.name.encode()).digest())


def _loops() -> Iterator[Source]:
    for package in ("sonic-pi-samples", "lmms-common"):
        for path in packages.sound_files(package):
            if _seconds(path) >= LEAST_S:
                yield Source("loop or note", path.name, path.name, path)


def _seconds(path: Path) -> float:
    """0 for what cannot be read: some of the files are not what their names say."""
    try:
        info = soundfile.info(path)
    except soundfile.LibsndfileError:
        return 0.0
    return float(info.frames / info.samplerate)


def _songs() -> Iterator[Source]:
    for package in ("fretsonfire-songs-sectoid", "fretsonfire-songs-muldjord"):
        for path in packages.sound_files(package):
            for at_s in (20.0, 55.0, 90.0):
                yield Source(
                    f"song, {path.stem}",
                    path.parent.name,
                    f"{path.parent.name}/{path.stem} {at_s:g}",
                    path,
                    at_s,
                )


def _kits() -> Iterator[Source]:
    kits = sorted({path.parent for path in packages.sound_files("hydrogen-drumkits")})
    for kit in kits:
        if len(strokes(kit)) < 3:  # noqa: PLR2004 - a pattern takes as many
            continue
        for take in range(2):
            yield Source(
                DRUM_KIT,
                kit.name,
                f"{kit.name} {take}",
                kit,
                take=take,
            )


def is_kit(source: Source) -> bool:
    return source.kind == DRUM_KIT


def excerpt_of(source: Source, seconds: float) -> Sound:
    return excerpt(source.path, source.at_s, seconds)


def pattern_of(source: Source, take: int, seconds: float) -> Sound:
    """Another playing for each `take`, of a source that is a kit."""
    return pattern(source.path, 10 * source.take + take, seconds)


def excerpt(path: Path, at_s: float = 0.0, seconds: float = MOST_S) -> Sound:
    """Mono at 48 kHz, peak 0.5; shape (frames,)."""
    with soundfile.SoundFile(path) as file:
        file.seek(min(round(at_s * file.samplerate), max(0, file.frames - 1)))
        sound = file.read(round(seconds * file.samplerate), always_2d=True).mean(axis=1)
        rate = file.samplerate
    return scaled(resampled(sound, rate, RATE))


def resampled(sound: Any, rate: float, new_rate: float) -> Sound:
    """By soxr, so that the estimator's own resampling is not what it is tested with."""
    import soxr  # noqa: PLC0415 - only these benches need it

    if rate == new_rate:
        return np.asarray(sound, dtype=np.float64)
    return np.asarray(soxr.resample(sound, rate, new_rate, quality="VHQ"), dtype=np.float64)


def scaled(sound: Sound) -> Sound:
    top = np.abs(sound).max(initial=0)
    return sound if top == 0 else sound * (0.5 / top)


@lru_cache(maxsize=64)
def strokes(kit: Path) -> tuple[Path, ...]:
    return tuple(
        path
        for path in sorted(kit.iterdir())
        if path.suffix.lower() in (".wav", ".flac") and _seconds(path) > 0.05  # noqa: PLR2004
    )


def pattern(kit: Path, take: int, seconds: float = 8.0) -> Sound:
    """Recorded strokes in a row. Another take has other strokes of the same drums where the kit
    has several strengths, and is not in time to the millisecond."""
    spin = np.random.default_rng([take, *kit.name.encode()])
    out = np.zeros(round(seconds * RATE))
    drums = _drums(kit)
    chosen = sorted(drums)[:: max(1, len(drums) // 4)][:4]
    for number, at in enumerate(np.arange(0.2, seconds - 0.5, 0.27)):
        layers = drums[chosen[number % len(chosen)]]
        stroke = excerpt(layers[spin.integers(len(layers))], 0, 1.5) * spin.uniform(0.6, 1)
        start = round((at + spin.normal(0, 0.008)) * RATE)
        length = min(len(stroke), len(out) - start)
        out[start : start + length] += stroke[:length]
    return scaled(out)


@lru_cache(maxsize=64)
def _drums(kit: Path) -> dict[str, list[Path]]:
    """Strokes of one drum go together by the letters their names begin with."""
    found: dict[str, list[Path]] = {}
    for path in strokes(kit):
        letters = "".join(c for c in path.stem.lower() if c.isalpha())[:6]
        found.setdefault(letters, []).append(path)
    return found
