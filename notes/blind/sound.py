"""The sound of one label in one round, so that nothing but the sound tells which clip it is.

Both clips begin at the same moment of one performance, are cut to the same number of frames and
channels and leave at the same loudness, as WAV of one size. The last bit is dithered anew each
time (triangular, two steps wide), as is usual when the word length is reduced; so even equal
sounds differ as files.
"""

from __future__ import annotations

import io
from functools import partial

import numpy as np
import soundfile
from numpy.typing import NDArray

from notes.clips.samples import start_of
from notes.models import BlindSitting, BlindTrial, Clip

# Short is easier to keep in mind, and three of them come over a telephone's link each round.
LONGEST_S = 15.0
_FADE_S = 0.01


def wav_of(sitting: BlindSitting, number: int, label: str) -> bytes:
    """16-bit WAV. Raises KeyError for a label, IndexError for a round that there is none of."""
    blind = sitting.blind
    chosen = sitting.drawn[number - 1].clip(label)
    rate = blind.clip_a.sound.rate_hz
    frames = round(min(LONGEST_S, *_lasts(blind)) * rate)
    channels = 1 if blind.clip_a.right is None or blind.clip_b.right is None else 2
    # Both are read every time: how long the answer takes must not tell, either.
    made = {
        "a": _cut(blind.clip_a, blind.lead_a_s, float(blind.gain_a_db), frames, channels),
        "b": _cut(blind.clip_b, blind.lead_b_s, float(blind.gain_b_db), frames, channels),
    }
    return _packed(_faded(made[chosen], rate), rate)


def _lasts(blind: BlindTrial) -> tuple[float, float]:
    return (
        float(blind.clip_a.seconds) - blind.lead_a_s,
        float(blind.clip_b.seconds) - blind.lead_b_s,
    )


def _cut(
    clip: Clip, lead_s: float, gain_db: float, frames: int, channels: int
) -> NDArray[np.float64]:
    """Exactly so many frames from `lead_s` on; what is missing at the end is silence."""
    lead = round(lead_s * clip.sound.rate_hz)
    samples = start_of(clip, lead + frames)[lead:].astype(np.float64)
    if samples.shape[1] != channels:
        samples = samples.mean(axis=1, keepdims=True)
    return np.pad(samples, ((0, frames - len(samples)), (0, 0))) * 10 ** (gain_db / 20)


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
