"""Two captures of one recording whose delay and polarity are known, as crews record them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.bench.corpus import responses
from tests.bench.corpus.sources import RATE, Sound, Source, resampled

_TAPE_M = 0.015
KINDS = ("DI and microphone", "two microphones", "stereo pair")


@dataclass(frozen=True)
class Pair:
    """`delay_s`: by how much `second` is later in the middle of what both hold. `polarity` ±1."""

    kind: str
    first: Sound
    second: Sound
    delay_s: float
    polarity: int
    ppm: float

    @property
    def taped_s(self) -> float:
        """What a crew's tape says of it, each distance read to 1.5 cm (standard deviation): common
        practice, no source."""
        spin = np.random.default_rng(list(f"{self.kind} {self.delay_s:.9f}".encode()))
        near, far = spin.normal(0, _TAPE_M, 2) / responses.AIR_M_S
        return self.delay_s + float(far - near)


def make(
    source: Source, beside: Source, kind: str, *, ppm: float = 0.0, bleed_db: float | None = None
) -> Pair:
    """By the names of both alone: the same pair each time."""
    spin = np.random.default_rng(list(f"{source.name}{kind}".encode()))
    played = source.read()
    metres, spaced = _places(kind, spin)
    room = responses.image_source_room(spin, metres, spaced)
    speakers = responses.speakers(source.half)
    heard = []
    for number, response in enumerate(room.responses):
        one = responses.apply(played, response)
        colour = speakers[spin.integers(len(speakers))] if speakers else np.ones(1)
        # A stereo pair is two alike; a microphone on a rig hears it through its loudspeaker.
        one = one if kind == "stereo pair" else responses.apply(one, colour)
        heard.append(_with_tail(one, spin) if number and spin.random() < 0.25 else one)  # noqa: PLR2004
    apart_s = (room.metres[1] - room.metres[0]) / responses.AIR_M_S
    if kind == "DI and microphone":
        heard[0] = played
        # The response of a room begins with the filter of its arrivals, as both others' do.
        apart_s = room.metres[1] / responses.AIR_M_S + _filter_s()
    if bleed_db is not None:
        nearer_db = 20 * np.log10(room.metres[1] / room.metres[0])
        levels = [bleed_db - max(0.0, float(nearer_db)), bleed_db]
        heard = _with_bleed(heard, beside, kind, levels, spin)
    polarity = int(spin.choice([1, -1]))
    first, second = (_noisy(each, spin) for each in heard)
    if ppm:
        # Begun together; the second runs on a clock of its own.
        second = resampled(second, RATE, RATE * (1 + ppm * 1e-6))
        apart_s += ppm * 1e-6 * len(first) / RATE / 2
    return Pair(kind, first, polarity * second, apart_s, polarity, ppm)


def two_takes(source: Source) -> tuple[Sound, Sound] | None:
    """The first half against the second: other playing of the same, unless a bar is copied."""
    sound = source.read()
    half = len(sound) // 2
    return (sound[:half], sound[half:]) if half > 1.5 * RATE else None


def _places(kind: str, spin: np.random.Generator) -> tuple[list[float], float]:
    if kind == "stereo pair":
        far = spin.uniform(1.0, 3.0)
        return [far, far + spin.uniform(-0.3, 0.3)], float(spin.uniform(0.17, 0.5))
    near = float(spin.uniform(0.05, 0.3))
    return [near, float(spin.uniform(0.3, 3.0))], 0.0


def _filter_s() -> float:
    import pyroomacoustics  # noqa: PLC0415 - only these benches need it

    return float(pyroomacoustics.constants.get("frac_delay_length") // 2 / RATE)


def _with_tail(sound: Sound, spin: np.random.Generator) -> Sound:
    tails = responses.tails()
    if not tails:
        return sound
    wet = responses.apply(sound, tails[spin.integers(len(tails))])
    loud = np.sqrt((sound**2).mean() / ((wet**2).mean() + 1e-20))
    return sound + wet * loud * 10 ** (-spin.uniform(3, 12) / 20)


def _with_bleed(
    heard: list[Sound],
    beside: Source,
    kind: str,
    levels: list[float],
    spin: np.random.Generator,
) -> list[Sound]:
    """Another source of the stage, in dB against what each microphone is there for: the nearer one
    hears less of it. A DI hears none."""
    other = np.resize(beside.read(), len(heard[0]))
    room = responses.image_source_room(spin, [float(spin.uniform(1, 3)) for _ in range(2)], 0.4)
    out = []
    for number, sound in enumerate(heard):
        if kind == "DI and microphone" and number == 0:
            out.append(sound)
            continue
        bleed = responses.apply(other, room.responses[number])
        loud = np.sqrt((sound**2).mean() / ((bleed**2).mean() + 1e-20))
        out.append(sound + bleed * loud * 10 ** (levels[number] / 20))
    return out


def _noisy(sound: Sound, spin: np.random.Generator) -> Sound:
    level = np.sqrt((sound**2).mean()) * 10 ** (-spin.uniform(30, 60) / 20)
    return sound + level * spin.standard_normal(len(sound))
