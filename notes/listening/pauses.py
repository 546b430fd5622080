"""The quietest stretch of a clip: what is heard there is noise, hum and room, not the player."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from notes.listening.bands import Bands, bands_of, spectrum_of_stretch
from notes.listening.samples import Samples, as_frames, check_rate

METHOD = "pauses/1"
WINDOW_S = 0.4
_STEP_S = 0.1
# A stretch counts as a pause when it lies so far below the whole clip. Common practice, no source.
DEPTH_DB = 15.0
# 10 dB above the noise, noise adds 0.46 dB to a level: −10 log10(1 − 10^(−10/10)).
CLEAR_DB = 10.0


def pause(samples: Samples, rate: float) -> Bands | None:
    """Band levels of the quietest 0.4 s; None where the clip has no pause, or is too short.

    Digital silence is left out: nothing was recorded there, so it tells nothing of the room.
    """
    frames = as_frames(samples)
    size, step = round(check_rate(rate) * WINDOW_S), round(rate * _STEP_S)
    if len(frames) < 2 * size:
        return None
    powers = (frames**2).mean(axis=1)
    total = np.concatenate([[0.0], np.cumsum(powers)])
    starts = np.arange(0, len(frames) - size + 1, step)
    levels = (total[starts + size] - total[starts]) / size
    heard = levels > 1e-16  # 16 bit dither lies near 1e-10
    if not heard.any():
        return None
    at = starts[heard][int(np.argmin(levels[heard]))]
    if 10 * np.log10(powers.mean() / levels[heard].min()) < DEPTH_DB:
        return None
    return bands_of(*spectrum_of_stretch(frames[at : at + size], rate), rate)


def near_noise(bands: Bands, quiet: Bands) -> NDArray[np.bool_]:
    """Which bands stand less than 10 dB above the pause."""
    with np.errstate(invalid="ignore"):
        return np.asarray(bands.levels - quiet.levels < CLEAR_DB)
