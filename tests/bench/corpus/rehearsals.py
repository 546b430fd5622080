"""Rehearsals with known borders: recorded songs with talking, tuning and a room between them.

Songs with the guitar on a track of its own, played loops for quiet songs, recorded speech, single
notes and strokes of drums. The borders are those at which the songs were put in; what finds them
never sees how. Each song, voice and note is in one half for good.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from notes.takes.find import Span, find_takes
from notes.takes.levels import LevelMeter
from tests.bench.corpus import packages
from tests.bench.corpus.sources import TELLING, half_of, resampled

RATE = 16_000
MOST = 8  # of each half and layout: each takes ten seconds to make
LAYOUTS = ("one microphone in the room", "four channels")
Sound = NDArray[np.float64]


@dataclass(frozen=True)
class Rehearsal:
    """`sound` of shape (frames, channels) at RATE; where each song was put in."""

    layout: str
    sound: Sound
    takes: list[Span]


def rehearsal(half: str, number: int, layout: str) -> Rehearsal:
    spin = np.random.default_rng([number, half == TELLING])
    parts: list[Sound] = [_pause(half, spin)]
    takes, at = [], len(parts[0])
    for _ in range(7):
        song = _song(half, spin)
        takes.append(Span(at / RATE, (at + len(song)) / RATE))
        pause = _pause(half, spin)
        parts += [song, pause]
        at += len(song) + len(pause)
    return Rehearsal(layout, _heard(np.concatenate(parts), layout, spin), takes)


# Columns while it is put together: band without guitar, guitar, voices, single strokes.
_BAND, _GUITAR, _VOICE, _STROKE = range(4)


def _song(half: str, spin: np.random.Generator) -> Sound:
    """40 to 110 s, from the beginning of a song or up to its end; one in four is a quiet loop."""
    seconds = spin.uniform(40, 110)
    level = 10 ** (spin.uniform(-8, 0) / 20)
    out = np.zeros((round(seconds * RATE), 4))
    if spin.random() < 0.25:
        loop = _read(_pick(_loops(half), spin))
        out[:, _GUITAR if spin.random() < 0.5 else _BAND] = np.resize(loop, len(out))
        level *= 10 ** (spin.uniform(-6, 0) / 20)
    else:
        folder = _pick(_song_folders(half), spin)
        band, guitar = _trimmed(_read(folder / "song.ogg"), _read(folder / "guitar.ogg"))
        if spin.random() < 0.5:
            band, guitar = band[-len(out) :], guitar[-len(out) :]
        out = out[: len(band)]
        out[:, _BAND], out[:, _GUITAR] = band[: len(out)], guitar[: len(out)]
    fade = np.linspace(1, 0, RATE // 2)
    out[-len(fade) :] *= fade[:, None]
    return out * level


def _trimmed(band: Sound, guitar: Sound) -> tuple[Sound, Sound]:
    """Without what is silent before and after: 45 dB below the peak over 0.1 s."""
    length = min(len(band), len(guitar))
    both = np.abs(band[:length] + guitar[:length])
    loud = np.flatnonzero(
        both[: len(both) // 1600 * 1600].reshape(-1, 1600).max(axis=1)
        > both.max() * 10 ** (-45 / 20)
    )
    part = slice(int(loud[0]) * 1600, int(loud[-1] + 1) * 1600)
    return band[part], guitar[part]


def _pause(half: str, spin: np.random.Generator) -> Sound:
    """8 to 60 s: nothing, talking, tuning, strokes, or all of it; against songs of rms 0.1."""
    out = np.zeros((round(spin.uniform(8, 60) * RATE), 4))
    for column, sounds, chance, busy, loud in (
        (_VOICE, _voices(half), 0.8, spin.uniform(0.3, 0.95), (-36, -14)),
        (_GUITAR, _notes(half), 0.5, spin.uniform(0.2, 0.8), (-28, -8)),
        (_STROKE, _strokes(half), 0.25, spin.uniform(0.05, 0.3), (-24, -6)),
    ):
        if spin.random() < chance:
            _strew(out[:, column], sounds, busy, 10 ** (spin.uniform(*loud) / 20), spin)
    return out


def _strew(
    out: Sound, sounds: tuple[Path, ...], busy: float, gain: float, spin: np.random.Generator
) -> None:
    """Sounds in a row over `busy` of the time, each of rms 0.1 while it sounds, times `gain`."""
    at = round(spin.uniform(0, 2) * RATE)
    while at < len(out):
        sound = _read(_pick(sounds, spin))[: 6 * RATE]
        length = min(len(sound), len(out) - at)
        out[at : at + length] += sound[:length] * gain
        at += round(len(sound) / busy)


def _heard(parts: Sound, layout: str, spin: np.random.Generator) -> Sound:
    """As microphones pick it up, with the noise of the room in each."""
    floor = 10 ** (spin.uniform(-62, -48) / 20)
    if layout == LAYOUTS[0]:
        heard = parts.sum(axis=1, keepdims=True)
    else:
        bleed = 10 ** (spin.uniform(-26, -14) / 20)
        close = np.eye(4)[:, :3] * (1 - bleed) + bleed
        heard = np.concatenate([parts @ close, parts.sum(axis=1, keepdims=True)], axis=1)
    return np.asarray(heard + spin.normal(0, floor, heard.shape))


def _pick(paths: tuple[Path, ...], spin: np.random.Generator) -> Path:
    return paths[spin.integers(len(paths))]


@lru_cache(maxsize=256)
def _read(path: Path) -> Sound:
    """Mono, rms 0.1 where it sounds."""
    sound, rate = soundfile.read(path, always_2d=True)
    mono = resampled(sound.mean(axis=1), rate, RATE)
    loud = mono[np.abs(mono) > np.abs(mono).max(initial=0) / 100]
    return mono * (0.1 / max(1e-9, float(np.sqrt((loud**2).mean())))) if len(loud) else mono


def _mine(half: str, paths: list[Path]) -> tuple[Path, ...]:
    return tuple(path for path in paths if half_of(path.name) == half)


@lru_cache(maxsize=2)
def _song_folders(half: str) -> tuple[Path, ...]:
    found = [
        path.parent
        for package in ("fretsonfire-songs-sectoid", "fretsonfire-songs-muldjord")
        for path in packages.sound_files(package)
        if path.stem == "song"
    ]
    return tuple(path for path in sorted(found) if half_of(path.name) == half)


@lru_cache(maxsize=2)
def _loops(half: str) -> tuple[Path, ...]:
    every = packages.sound_files("sonic-pi-samples")
    return _mine(half, [p for p in every if p.stem.startswith("loop_")])


@lru_cache(maxsize=2)
def _notes(half: str) -> tuple[Path, ...]:
    every = packages.sound_files("sonic-pi-samples")
    return _mine(half, [p for p in every if p.stem.startswith(("guit_", "bass_"))])


@lru_cache(maxsize=2)
def _strokes(half: str) -> tuple[Path, ...]:
    every = packages.sound_files("sonic-pi-samples")
    return _mine(half, [p for p in every if p.stem.startswith(("drum_", "perc_"))])


@lru_cache(maxsize=2)
def _voices(half: str) -> tuple[Path, ...]:
    long = [p for p in packages.sound_files(packages.SPEECH) if p.stat().st_size > 30_000]
    return _mine(half, long)


def main(half: str, most: int) -> None:
    """Prints one line for each layout."""
    if not packages.sound_files(packages.SPEECH):
        print(
            f"{packages.SPEECH} is not here: nobody talks between the songs, nothing was measured"
        )
        return
    for layout in LAYOUTS:
        tally = Tally()
        for number in range(min(most, MOST)):
            each = rehearsal(half, number, layout)
            meter = LevelMeter(RATE, each.sound.shape[1])
            meter.add(each.sound.astype(np.float32))
            tally.count(each.takes, find_takes([meter.levels()], len(each.sound) / RATE))
        print(f"{half}, {layout}: {tally}")


@dataclass
class Tally:
    """`alone`: a song and a take that overlap with each other and with nothing else."""

    songs: int = 0
    found: int = 0
    alone: int = 0
    off_s: list[tuple[float, float]] = field(default_factory=list)

    def count(self, songs: list[Span], takes: list[Span]) -> None:
        self.songs, self.found = self.songs + len(songs), self.found + len(takes)
        for song in songs:
            mine = [take for take in takes if _overlap(song, take)]
            if len(mine) == 1 and sum(_overlap(each, mine[0]) for each in songs) == 1:
                self.alone += 1
                take = mine[0]
                self.off_s.append((take.starts_s - song.starts_s, take.ends_s - song.ends_s))

    def __str__(self) -> str:
        off = np.abs(np.array(self.off_s or [(0.0, 0.0)]))
        close = ", ".join(f"{(off.max(axis=1) <= s).sum()} within {s} s" for s in (2, 5))
        return (
            f"{self.songs} songs put in, {self.found} takes found, {self.alone} one to one, both "
            f"borders: {close}; begins off by {np.median(off[:, 0]):.1f} s (median), "
            f"{np.percentile(off[:, 0], 95):.1f} s (95 %), ends by {np.median(off[:, 1]):.1f} and "
            f"{np.percentile(off[:, 1], 95):.1f} s"
        )


def _overlap(one: Span, other: Span) -> bool:
    return min(one.ends_s, other.ends_s) > max(one.starts_s, other.starts_s)
