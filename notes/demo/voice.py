"""A voice memo for the demonstration, worked out here so that it is nobody's voice.

Pulses of a throat through the resonances of a mouth, one vowel after another: murmured, without
words, as loud as a phone held near would have it. The same pitch gives the same samples everywhere.
"""

from __future__ import annotations

import io

import numpy as np
import soundfile
from numpy.typing import NDArray

RATE = 16_000
Sound = NDArray[np.float64]

# The first three resonances in Hz: common practice, no source.
VOWELS = {
    "a": (750, 1200, 2500),
    "e": (500, 1800, 2500),
    "i": (300, 2200, 3000),
    "o": (450, 850, 2500),
    "u": (320, 750, 2300),
}
# Vowels and how long each lasts, in seconds; a dot is a breath.
LINE = (("a", 0.16), ("o", 0.28), ("i", 0.42), (".", 0.18), ("i", 0.14), ("o", 0.3), (".", 0.1),
        ("e", 0.12), ("i", 0.16), ("a", 0.2), ("o", 0.16), ("i", 0.36))  # fmt: skip


def memo(pitch_hz: float) -> bytes:
    """A 16-bit WAV of that voice. Mono, 16 kHz."""
    hand = np.random.default_rng(round(pitch_hz))
    pieces = [_piece(vowel, seconds, pitch_hz, hand) for vowel, seconds in LINE]
    said = np.concatenate(pieces)
    said = said / np.abs(said).max() * 0.4 + hand.normal(0, 4e-4, len(said))
    out = io.BytesIO()
    soundfile.write(out, said, RATE, format="WAV", subtype="PCM_16")
    return out.getvalue()


def _piece(vowel: str, seconds: float, pitch_hz: float, hand: np.random.Generator) -> Sound:
    time = np.arange(round(seconds * RATE)) / RATE
    if vowel == ".":
        return np.zeros(len(time))
    # The pitch falls a little along each vowel, as in speech.
    turns = np.cumsum(pitch_hz * hand.uniform(0.9, 1.1) * (1 - 0.12 * time / seconds)) / RATE
    pulses = np.asarray(np.diff(np.floor(turns), prepend=0.0))
    voiced: Sound = sum(
        (_resonance(pulses, hz) / (n + 1) for n, hz in enumerate(VOWELS[vowel])),
        np.zeros(len(time)),
    )
    edge = np.minimum(1, np.minimum(time, time[::-1]) / 0.02)
    return np.asarray(voiced * edge)


def _resonance(pulses: Sound, hz: float) -> Sound:
    """What rings at `hz`, 90 Hz wide, for as long as a pulse is heard."""
    ring = np.arange(round(0.03 * RATE)) / RATE
    answer = np.exp(-np.pi * 90 * ring) * np.sin(2 * np.pi * hz * ring)
    return np.asarray(np.convolve(pulses, answer)[: len(pulses)])
