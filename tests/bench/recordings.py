"""How often a delay is sure, and wrong, on recordings: python -m tests.bench.recordings FOLDER

FOLDER holds FLAC or WAV files of a second and more. For docs/measurements.md they came from Debian:
    apt-get download sonic-pi-samples && dpkg -x sonic-pi-samples_*.deb FOLDER
Each is heard once through a microphone that tests.support.captures makes up, alone and with another
of the recordings beside it; and its first half is set against its second, which is another playing
(but for loops that repeat themselves).
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from math import gcd
from pathlib import Path

import numpy as np
import soundfile
from scipy.signal import resample_poly

from notes.listening.relation import Relation, relate
from tests.support import captures
from tests.support.captures import RATE, Sound, Spin, later

WRONG_S = 0.0003
BLEEDS_DB = (None, -12, -6, 0)


def main(folder: Path) -> None:
    sounds = [_read(path) for path in sorted(folder.rglob("*")) if path.suffix in (".flac", ".wav")]
    sounds = [each for each in sounds if len(each) > 1.2 * RATE and np.abs(each).max() > 0.01]
    print(f"{len(sounds)} recordings\n")
    print("| what | stated | right | wrong | refused | of these: the best guess was right |")
    print("|---|---|---|---|---|---|")
    for bleed in BLEEDS_DB:
        found: Counter[tuple[bool, bool]] = Counter()
        for at, sound in enumerate(sounds):
            spin = np.random.default_rng([7, at])
            other = sounds[(at + 11) % len(sounds)]
            found[_one(sound, other, bleed, spin)] += 1
        name = "alone" if bleed is None else f"another one beside it at {bleed} dB"
        right, wrong = found[True, True], found[True, False]
        refused = found[False, True] + found[False, False]
        print(
            f"| {name} | {right + wrong} | {right} | {wrong} | {refused} | {found[False, True]} |"
        )
    # The second half by turning the sound round, cutting it, and turning it back.
    halves = [_related(_half(each), _half(each[::-1])[::-1]) for each in sounds]
    stated = sum(bool(each and each.is_certain) for each in halves)
    guessed = sum(bool(each and each.best and each.best.is_certain) for each in halves)
    print(f"| two halves | {stated} | – | – | {len(halves) - stated} | without asking: {guessed} |")


def _one(sound: Sound, other: Sound, bleed_db: int | None, spin: Spin) -> tuple[bool, bool]:
    """Whether it is stated, and whether what is found is right."""
    played = sound / np.abs(sound).max() * 0.5
    delay_s, polarity = spin.uniform(-0.001, 0.012), int(spin.choice([1, -1]))
    coloured = captures._coloured(played, spin)
    heard = polarity * later(captures._in_a_room(coloured, spin), delay_s)
    if bleed_db is not None:
        beside = np.resize(other, len(heard))
        loud = np.sqrt((heard**2).mean() / ((beside**2).mean() + 1e-12))
        heard = heard + loud * 10 ** (bleed_db / 20) * beside
    found = _related(played, captures._noisy(heard, spin, 15, 60))
    if found is None or found.best is None:
        return False, False
    # What was played is as a DI has it: nothing else is in it.
    found = replace(found, direct=True)
    near = abs(found.best.delay_s - delay_s) < WRONG_S
    return found.is_certain, near and found.best.polarity == polarity


def _related(first: Sound, second: Sound) -> Relation | None:
    try:
        return relate(first, second, (RATE, RATE))
    except ValueError:
        return None


def _half(sound: Sound) -> Sound:
    return sound[: len(sound) // 2]


def _read(path: Path) -> Sound:
    sound, rate = soundfile.read(path, always_2d=True)
    common = gcd(RATE, rate)
    mono = resample_poly(sound.mean(axis=1), RATE // common, rate // common)
    return np.asarray(mono[: 10 * RATE], dtype=np.float64)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
