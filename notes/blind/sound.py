"""The sound of one label in one round, so that nothing but the sound tells which clip it is.

Both clips are cut to the same number of frames and channels and leave at the same loudness, as WAV
of one size. The last bit is dithered anew each time (triangular, two steps wide), as is usual when
the word length is reduced; so even equal sounds differ as files.
"""

from __future__ import annotations

import io
from functools import partial

import numpy as np
import soundfile
from numpy.typing import NDArray

from notes.clips.reading import start_of
from notes.models import BlindSitting, Clip

LONGEST_S = 30.0
_FADE_S = 0.01


def wav_of(sitting: BlindSitting, number: int, label: str) -> bytes:
    """16-bit WAV. Raises KeyError for a label, IndexError for a round that there is none of."""
    blind = sitting.blind
    chosen = sitting.drawn[number - 1].clip(label)
    clip, gain = {
        "a": (blind.clip_a, blind.gain_a_db), "b": (blind.clip_b, blind.gain_b_db),
    }[chosen]  # fmt: skip
    rate = clip.sound.rate_hz
    frames = round(min(LONGEST_S, *(float(c.seconds) for c in (blind.clip_a, blind.clip_b))) * rate)
    channels = 1 if blind.clip_a.right is None or blind.clip_b.right is None else 2
    samples = _cut(clip, frames, channels) * 10 ** (float(gain) / 20)
    return _packed(_faded(samples, rate), rate)


def _cut(clip: Clip, frames: int, channels: int) -> NDArray[np.float64]:
    """Exactly so many frames; what is missing at the end is silence."""
    samples = start_of(clip, frames).astype(np.float64)
    if samples.shape[1] != channels:
        samples = samples.mean(axis=1, keepdims=True)
    return np.pad(samples, ((0, frames - len(samples)), (0, 0)))


def _faded(samples: NDArray[np.float64], rate: int) -> NDArray[np.float64]:
    """Without a click at the cut end."""
    length = min(round(_FADE_S * rate), len(samples))
    samples[len(samples) - length :] *= np.linspace(1, 0, length)[:, None]
    return samples


def _packed(samples: NDArray[np.float64], rate: int) -> bytes:
    step = 1 / 32768
    noise = partial(np.random.default_rng().uniform, -0.5, 0.5, samples.shape)
    dithered = np.clip(samples + step * (noise() + noise()), -1, 1 - step)
    out = io.BytesIO()
    soundfile.write(out, np.round(dithered * 32768).astype(np.int16), rate, "PCM_16", format="WAV")
    return out.getvalue()
