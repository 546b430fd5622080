"""One clip as it is played beside others, as a file: in step with them, and as loud as they are.

For players that can do neither: without scripts, or without the audio features that mixing takes.
"""

from __future__ import annotations

import io

import numpy as np
import soundfile
from numpy.typing import NDArray

from notes.clips.samples import start_of
from notes.comparing.sides import Side, SideBySide

# Drawn anew for each request, noise would not fit the parts of a file that a player asks for.
_SEED = 16


def wav_of(comparison: SideBySide, side: Side) -> bytes:
    """16-bit WAV of the section that is measured. Raises StoredFileUnreadable."""
    rate = side.clip.sound.rate_hz
    first, end = (round((side.lead_s + at) * rate) for at in comparison.section)
    samples = start_of(side.clip, end)[first:].astype(np.float64)
    return packed(samples * 10 ** (side.gain_db / 20), rate, np.random.default_rng(_SEED))


def packed(samples: NDArray[np.float64], rate: int, spin: np.random.Generator) -> bytes:
    """16-bit WAV of samples of shape (frames, channels), dithered with noise of `spin`."""
    step = 1 / 32768

    def noise() -> NDArray[np.float64]:
        return spin.uniform(-0.5, 0.5, samples.shape)

    # Two uniform sources add to triangular dither of ±1 step, which makes the rounding error
    # independent of the sound.
    dithered = np.clip(samples + step * (noise() + noise()), -1, 1 - step)
    out = io.BytesIO()
    soundfile.write(out, np.round(dithered * 32768).astype(np.int16), rate, "PCM_16", format="WAV")
    return out.getvalue()
