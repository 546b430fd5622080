"""Sounds for the demonstration, worked out here so that they are nobody's recording.

A phrase is plucked or blown from partials; a microphone is a curve over frequency, a delay, a
little of the room and its own noise. The same name gives the same samples everywhere.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from zlib import crc32

import numpy as np
import soundfile
from numpy.typing import NDArray

from rigs.signal.air import speed_of_sound

RATE = 48_000
Sound = NDArray[np.float64]

# Semitones from the lowest note, and how many beats each lasts; None is a rest.
Line = tuple[tuple[int | None, float], ...]
LOW_WATER: Line = ((2, 1.5), (2, 0.5), (5, 1), (7, 1), (None, 0.5), (0, 2), (None, 1.5))
WEIR: Line = ((0, 1), (0, 0.5), (3, 0.5), (5, 1), (0, 1.5), (None, 1), (7, 1), (5, 1), (None, 1.5))
SOLO: Line = ((12, 0.5), (15, 0.5), (17, 1), (19, 0.5), (17, 0.5), (15, 1), (12, 1.5), (None, 1.5))
REED: Line = ((3, 1), (7, 0.5), (10, 0.5), (8, 1.5), (5, 0.5), (3, 1.5), (None, 1.5))


@dataclass(frozen=True)
class Instrument:
    """`lowest_hz` is semitone 0. Partial n starts at n^−`roll` and dies after `ring_s`/√n."""

    lowest_hz: float
    roll: float
    ring_s: float
    partials: int
    attack_s: float
    pluck: float = 0.0  # where the string is plucked, as a share of its length
    drive: float = 0.0  # how hard it is driven into the amplifier
    finger: float = 0.0  # noise of fingers, pick or tongue
    cents: float = 3.0  # how far a hand is out of tune with itself
    vibrato: float = 0.0  # cents


BASS = Instrument(36.708, 1.1, 1.6, 40, 0.006, pluck=0.22, finger=0.05)  # tuned down to D
GUITAR = Instrument(73.416, 0.9, 1.3, 40, 0.003, pluck=0.12, drive=3.0, finger=0.12)
SAXOPHONE = Instrument(103.826, 0.75, 30.0, 40, 0.05, finger=0.03, cents=7, vibrato=14)


@dataclass(frozen=True)
class Microphone:
    """What becomes of the sound on its way: `curve` in dB at Hz, `away_m`, `room` and `noise_db`."""

    curve: tuple[tuple[float, float], ...]
    away_m: float = 0.0
    room: float = 0.0  # how loud the room is against the direct sound
    noise_db: float = -86.0
    gain_db: float = 0.0
    inverted: bool = False


MICROPHONES = {
    "direct": Microphone(((20, 0), (20_000, 0)), noise_db=-92),
    "edge of the cone": Microphone(
        ((40, -6), (80, -3), (160, -1), (500, 0), (1600, 2), (2500, 5), (4000, 3), (9000, -6)),
        0.05, 0.05, gain_db=2,
    ),
    "ribbon": Microphone(
        ((40, 1), (80, 2), (160, 1), (500, 0), (1600, -1), (2500, -2), (4000, -4), (9000, -14)),
        0.20, 0.08, -82, -3,
    ),
    "ribbon, a little nearer": Microphone(
        ((40, 1), (80, 2.2), (160, 1), (500, 0), (1600, -1), (2500, -2), (4000, -4), (9000, -14)),
        0.18, 0.08, -82, -2.6,
    ),
    # The tape went to the grille and read 12 cm; the cone lies further back. And the amplifier
    # inverts the bass: what a microphone hears of it has the opposite polarity to the DI.
    "ribbon, nearer": Microphone(
        ((40, 3), (80, 4), (160, 2), (500, 0), (1600, -1), (2500, -2), (4000, -4), (9000, -14)),
        0.18, 0.05, -82, -1, inverted=True,
    ),
    # The same with a high-pass of the channel left in at 200 Hz, second order, as it is drawn.
    "ribbon, nearer, high-pass left in": Microphone(
        ((40, -25), (63, -16.5), (80, -12), (100, -9), (125, -6), (160, -3.4), (200, -1.4),
         (250, -0.3), (500, 0), (1600, -1), (2500, -2), (4000, -4), (9000, -14)),
        0.18, 0.05, -82, -1, inverted=True,
    ),
    "big and hollow": Microphone(
        ((40, 3), (80, 4), (160, 0), (400, -5), (800, -3), (2500, 2), (9000, -8)), 0.10, 0.05
    ),
    "far condenser": Microphone(
        ((40, -4), (80, -2), (500, 0), (2500, 1), (9000, 2)), 0.30, 0.3, -62, 4
    ),
    "moving coil": Microphone(
        ((80, -3), (200, 0), (1000, 0), (2500, 3), (4500, 4), (7000, 0), (12_000, -9)), 0.08, 0.05
    ),
    "small condenser, back": Microphone(
        ((80, -5), (300, -1), (1000, 0), (4000, 3), (8000, 6), (14_000, 4)), 0.30, 0.35, -74, 3
    ),
    "inside the bell": Microphone(
        ((80, -8), (250, -3), (700, 3), (1250, 8), (2500, 4), (5000, 2), (10_000, -2)), 0.03, 0.02,
        gain_db=4,
    ),
    "above the keys": Microphone(
        ((80, -4), (250, 1), (700, 1), (1250, 0), (2500, 1), (5000, 2), (10_000, 1)), 0.45, 0.2, -74
    ),
}  # fmt: skip
MICROPHONES["ribbon, upside down"] = Microphone(
    MICROPHONES["ribbon"].curve, 0.20, 0.08, -82, -3, inverted=True
)


def wave(instrument: Instrument, line: Line, take: int, microphone: str, bpm: float = 72) -> bytes:
    """A 24-bit WAV of take `take` of `line`, as `microphone` hears it. Mono, 48 kHz."""
    heard = picked_up(played(instrument, line, take, bpm), MICROPHONES[microphone], microphone)
    out = io.BytesIO()
    soundfile.write(out, heard, RATE, format="WAV", subtype="PCM_24")
    return out.getvalue()


@cache
def played(instrument: Instrument, line: Line, take: int, bpm: float) -> Sound:
    """The phrase at the source, peak 0.5. Each take is timed and struck a little differently."""
    # crc32, because the hash of a text in Python differs from process to process.
    hand = np.random.default_rng([take, crc32(repr((instrument, line)).encode())])
    beat = 60 / bpm
    out = np.zeros(round((sum(length for _, length in line) * beat + 0.3) * RATE))
    at = 0.1
    for semitone, length in line:
        if semitone is not None:
            pitch = instrument.lowest_hz * 2 ** (semitone / 12)
            tone = _tone(instrument, pitch, length * beat * 0.95, hand)
            start = round(max(0.0, at + hand.normal(0, 0.012)) * RATE)
            tone = tone[: len(out) - start] * hand.uniform(0.75, 1)
            out[start : start + len(tone)] += tone
        at += length * beat
    if instrument.drive:
        out = np.tanh(instrument.drive * out / np.abs(out).max())
    return np.asarray(out * (0.5 / np.abs(out).max()))


def _tone(instrument: Instrument, pitch: float, seconds: float, hand: np.random.Generator) -> Sound:
    t = np.arange(round(seconds * RATE)) / RATE
    tone = np.zeros_like(t)
    run = 2 * np.pi * np.cumsum(_bend(instrument, t, hand)) / RATE
    for n in range(1, instrument.partials + 1):
        # A stiff string's partials lie a little high.
        frequency = n * pitch * np.sqrt(1 + 0.0001 * n * n)
        # Higher partials are hardly heard, and each costs as much as a low one.
        if frequency > 12_000:
            break
        strength = n**-instrument.roll
        # A string that is plucked at a node of a partial does not sound it.
        if instrument.pluck:
            strength *= abs(np.sin(np.pi * n * instrument.pluck))
        phase = hand.uniform(0, 2 * np.pi)
        fall = np.exp(-t * np.sqrt(n) / instrument.ring_s)
        tone += strength * fall * np.sin(frequency * run + phase)
    tone *= np.minimum(1, t / instrument.attack_s) * np.minimum(1, (seconds - t) / 0.03)
    scrape = hand.standard_normal(len(t)) * np.exp(-t / 0.02) * instrument.finger
    return np.asarray(tone / np.abs(tone).max() + scrape)


def _bend(instrument: Instrument, t: Sound, hand: np.random.Generator) -> Sound:
    """The factor by which the pitch strays at each moment of `t`, another one in each take."""
    drift = hand.normal(0, instrument.cents, 2)
    cents = drift[0] + drift[1] * np.exp(-t / 0.15)
    cents = cents + instrument.vibrato * np.sin(
        2 * np.pi * hand.uniform(4.6, 5.6) * t + hand.uniform(0, 2 * np.pi)
    )
    return np.asarray(2 ** (cents / 1200))


def picked_up(source: Sound, microphone: Microphone, name: str) -> Sound:
    """The source through the curve, delayed by the distance, with room and noise added."""
    spin = np.random.default_rng(crc32(name.encode()))
    # 16 °C, as in the rehearsal room of the cast.
    delay = microphone.away_m / speed_of_sound(16.0)
    size = len(source) + RATE // 2
    frequencies = np.fft.rfftfreq(size, 1 / RATE)
    points = np.array(microphone.curve)
    # Over the logarithm of frequency and in dB: so a response is drawn, and so it is heard.
    curve = np.interp(np.log(np.maximum(frequencies, 1)), np.log(points[:, 0]), points[:, 1])
    lines = np.fft.rfft(source, size) * 10 ** ((curve + microphone.gain_db) / 20)
    lines *= np.exp(-2j * np.pi * frequencies * delay)
    if microphone.room:
        lines *= 1 + microphone.room * np.fft.rfft(_room(), size)
    heard = np.fft.irfft(lines, size)[: len(source)]
    heard *= -1 if microphone.inverted else 1
    # Below full scale, with room for the noise: a clip over it would be turned down.
    heard *= min(1.0, 0.7 / np.abs(heard).max())
    noise = 10 ** (microphone.noise_db / 20) * spin.standard_normal(len(heard))
    return np.asarray(heard + noise)


@cache
def _room() -> Sound:
    """The impulse response of a barn, a third of a second of reflections that die away."""
    t = np.arange(RATE // 3) / RATE
    spin = np.random.default_rng(16)
    sparse = spin.standard_normal(len(t)) * (spin.uniform(size=len(t)) < t)
    # No wall is nearer: the first 4 ms are the direct sound alone.
    sparse[: round(0.004 * RATE)] = 0
    return np.asarray(sparse * np.exp(-t / 0.07) * 0.4)
