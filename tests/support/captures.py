"""Pairs of captures of one source whose delay and polarity are known, because they are made so.

The cases that are hardest to align are among them: one note repeated, a held tone, a singer, much
room, a microphone that colours the sound and inverts it. Everything follows from a seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt, tf2sos

RATE = 48_000
SECONDS = 5.0
Sound = NDArray[np.float64]
Spin = np.random.Generator


@dataclass(frozen=True)
class Pair:
    """`delay_s` is by how much `second` is later; `polarity` is −1 where it is inverted."""

    first: Sound
    second: Sound
    delay_s: float
    polarity: int


def later(sound: Sound, seconds: float) -> Sound:
    """Delay `sound` by `seconds`, also by a fraction of a sample, as a shift of phase."""
    # Padded, because the shift is circular: the end would come round to the beginning.
    size = len(sound) + RATE // 4
    turn = np.exp(-2j * np.pi * np.fft.rfftfreq(size, 1 / RATE) * seconds)
    return np.fft.irfft(np.fft.rfft(sound, size) * turn, size)[: len(sound)]


def one_note(spin: Spin) -> Sound:
    return _phrase(spin, spin.uniform(36, 98), [0], spin.uniform(0, 0.05))


def bass_line(spin: Spin) -> Sound:
    return _phrase(spin, spin.uniform(36, 60), [0, 3, 5, 7, 10], spin.uniform(0.01, 0.06))


def driven_guitar(spin: Spin) -> Sound:
    line = _phrase(spin, spin.uniform(73, 110), [0, 3, 5, 7, 12], spin.uniform(0.05, 0.15), 0.9)
    return np.tanh(3 * line)


def drum(spin: Spin) -> Sound:
    """An ideal membrane's first modes (ratios of Bessel zeros) and the noise of the stroke."""
    out, lowest = _nothing(), spin.uniform(55, 220)
    t = np.arange(RATE // 3) / RATE
    for at in np.arange(0.2, SECONDS - 0.5, spin.uniform(0.35, 0.6)):
        stroke = 0.5 * spin.standard_normal(len(t)) * np.exp(-t / 0.01)
        for n, ratio in enumerate((1, 1.593, 2.136, 2.296, 2.653)):
            swing = np.sin(2 * np.pi * lowest * ratio * t)
            stroke += spin.uniform(0.2, 1) * np.exp(-t * (6 + 8 * n)) * swing
        _add(out, stroke * spin.uniform(0.5, 1), at)
    return out


def sung(spin: Spin) -> Sound:
    """A gliding note with vibrato, and consonants now and then."""
    t = np.arange(round(SECONDS * RATE)) / RATE
    cents = 30 * np.sin(2 * np.pi * 5 * t) + 0.02 * np.cumsum(spin.standard_normal(len(t)))
    run = 2 * np.pi * np.cumsum(spin.uniform(110, 300) * 2 ** (cents / 1200)) / RATE
    voice = sum(n**-0.9 * np.sin(n * run + spin.uniform(0, 6.28)) for n in range(1, 25))
    consonants = 0.05 * spin.standard_normal(len(t)) * (np.sin(2 * np.pi * 0.9 * t) > 0.8)
    return np.asarray(voice * (0.6 + 0.4 * np.sin(2 * np.pi * 0.7 * t)) + consonants)


def cymbals(spin: Spin) -> Sound:
    t = np.arange(round(SECONDS * RATE))
    return spin.standard_normal(len(t)) * np.exp(-(t % (RATE // 2)) / 9000)


def held(spin: Spin) -> Sound:
    """A steady tone that swells: nothing in it says which period is which."""
    t, hz = np.arange(round(SECONDS * RATE)) / RATE, spin.uniform(40, 400)
    tone = sum(np.sin(2 * np.pi * n * hz * t + spin.uniform(0, 6.28)) / n for n in range(1, 12))
    return np.asarray(tone * np.minimum(1, t))


SOURCES = {
    source.__name__: source
    for source in (one_note, bass_line, driven_guitar, drum, sung, cymbals, held)
}


def make_pair(source: str, seed: int, **fixed: Any) -> Pair:
    """A source and what a microphone makes of it, by `seed`.

    `fixed` may set `delay_s` in seconds and `polarity`; `clean=True` leaves room, colour and noise
    out.
    """
    # With the name of the source, so that equal seeds give different sources different pairs.
    spin = np.random.default_rng([seed, *source.encode()])
    played = SOURCES[source](spin)
    played = played / np.abs(played).max() * 0.5
    delay = float(fixed.get("delay_s", spin.uniform(-0.001, 0.012)))
    polarity = int(fixed.get("polarity", spin.choice([1, -1])))
    heard = played
    if not fixed.get("clean"):
        heard = _in_a_room(_coloured(played, spin), spin)
    heard = polarity * later(heard, delay) * spin.uniform(0.2, 1)
    if fixed.get("clean"):
        return Pair(played, heard, delay, polarity)
    return Pair(_noisy(played, spin, 30, 70), _noisy(heard, spin, 15, 60), delay, polarity)


def two_takes(source: str, seed: int) -> tuple[Sound, Sound]:
    """The same kind of thing played twice: there is no delay between them."""
    return make_pair(source, seed).first, make_pair(source, seed + 10_000).second


def _nothing() -> Sound:
    return np.zeros(round(SECONDS * RATE))


def _add(out: Sound, sound: Sound, at_s: float) -> None:
    start = round(at_s * RATE)
    out[start : start + len(sound)] += sound[: len(out) - start]


def _phrase(
    spin: Spin, lowest: float, semitones: list[int], scrape: float, roll: float = 1.1
) -> Sound:
    out, at = _nothing(), 0.1
    while at < SECONDS - 0.6:
        length = min(float(spin.choice([0.4, 0.6, 0.8, 1.2])), SECONDS - at)
        cents = 100 * spin.choice(semitones) + spin.normal(0, 3)
        note = _plucked(spin, lowest * 2 ** (cents / 1200), 0.95 * length, roll, scrape)
        _add(out, note * spin.uniform(0.7, 1), at)
        at += length
    return out


def _plucked(spin: Spin, hz: float, seconds: float, roll: float, scrape: float) -> Sound:
    """Partials of a plucked string, a little sharp as a stiff one's are, and the finger's noise."""
    t = np.arange(round(seconds * RATE)) / RATE
    out, place = np.zeros_like(t), spin.uniform(0.1, 0.3)
    for n in range(1, 41):
        partial = n * hz * np.sqrt(1 + 0.0001 * n * n)
        strength = n**-roll * abs(np.sin(np.pi * n * place)) * np.exp(-t * np.sqrt(n) / 1.5)
        out += strength * np.sin(2 * np.pi * partial * t + spin.uniform(0, 2 * np.pi))
    out *= np.minimum(1, t / 0.004) * np.minimum(1, (seconds - t) / 0.03)
    out /= np.abs(out).max()
    return np.asarray(out + scrape * spin.standard_normal(len(t)) * np.exp(-t / 0.02))


def _coloured(sound: Sound, spin: Spin) -> Sound:
    """A microphone of minimum phase: two ends of its range and three humps of up to ±8 dB."""
    low, high = spin.uniform(25, 60), spin.uniform(4000, 14_000)
    sound = sosfilt(butter(2, low, "high", fs=RATE, output="sos"), sound)
    sound = sosfilt(butter(2, high, fs=RATE, output="sos"), sound)
    for _ in range(3):
        hz = np.exp(spin.uniform(np.log(80), np.log(6000)))
        sound = sosfilt(_hump(hz, spin.uniform(-8, 8), spin.uniform(0.7, 2)), sound)
    return np.asarray(sound)


def _hump(hz: float, db: float, q: float) -> Any:
    """A second-order peaking filter by the bilinear transform."""
    a, w = 10 ** (db / 40), 2 * np.pi * hz / RATE
    alpha = np.sin(w) / (2 * q)
    over = np.array([1 + alpha * a, -2 * np.cos(w), 1 - alpha * a])
    under = np.array([1 + alpha / a, -2 * np.cos(w), 1 - alpha / a])
    return tf2sos(over / under[0], under / under[0])


def _in_a_room(sound: Sound, spin: Spin) -> Sound:
    """2 to 18 dB more direct sound than room; the room dies by 60 dB in 0.2 to 0.8 s."""
    t = np.arange(RATE // 2) / RATE
    tail = spin.standard_normal(len(t)) * np.exp(-t * 6.9 / spin.uniform(0.2, 0.8))
    # The first reflections come some milliseconds after the direct sound.
    tail[: round(spin.uniform(0.002, 0.012) * RATE)] = 0
    # Scaled by its energy, so that the ratio of direct sound to room is the one drawn.
    tail *= 10 ** (-spin.uniform(2, 18) / 20) / np.sqrt((tail**2).sum())
    size = len(sound) + len(tail)
    wet = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)
    return sound + wet[: len(sound)]


def _noisy(sound: Sound, spin: Spin, least_db: float, most_db: float) -> Sound:
    level = np.sqrt((sound**2).mean()) * 10 ** (-spin.uniform(least_db, most_db) / 20)
    return np.asarray(sound + level * spin.standard_normal(len(sound)))
