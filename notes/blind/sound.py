"""The sound of one label in one round, so that nothing but the sound tells which clip it is.

Both clips begin at the same moment of one performance, are cut to the same number of frames and
channels and leave at the same loudness, as WAV of one size. The last bit is dithered anew each
time (triangular, two steps wide), as is usual when the word length is reduced; so even equal
sounds differ as files.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import numpy as np
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from core.stored_files import StoredFileUnreadable
from notes.clips.samples import start_of
from notes.comparing.matched import packed
from notes.listening.compare import matching_gains
from notes.listening.played import METHOD, PlayedLevels, played
from notes.models import BlindSitting, BlindTrial, Clip

# Short is easier to keep in mind, and three of them come over a telephone's link each round.
LONGEST_S = 15.0
_FADE_S = 0.01
_SHORTEST_S = 0.4  # BS.1770 needs as much
_EQUAL_LU = 0.2  # nearer than this nobody hears which is louder: common practice, no source
_CACHED_S = 60 * 60 * 24 * 30


def wav_of(sitting: BlindSitting, number: int, label: str) -> bytes:
    """16-bit WAV. Raises KeyError for a label, IndexError for a round that there is none of."""
    blind = sitting.blind
    chosen = sitting.drawn[number - 1].clip(label)
    # Both are read every time: how long the answer takes must not tell, either.
    made = dict(zip("ab", _cuts(_clips(blind), _leads(blind)), strict=True))
    gain_db = {"a": blind.gain_a_db, "b": blind.gain_b_db}[chosen]
    loud = made[chosen] * 10 ** (float(gain_db) / 20)
    return packed(loud, blind.clip_a.sound.rate_hz, np.random.default_rng())


def gains_of(clips: Sequence[Clip], leads: Sequence[float]) -> list[Decimal]:
    """Gain in dB of each, so that both are equally loud over exactly what is played of them.

    Raises ValidationError for what is silent there, StoredFileUnreadable.
    """
    if min(_lasts(clips, leads)) < _SHORTEST_S:
        raise ValidationError(
            _("The two clips have less than {shortest_s} s in common.").format(
                shortest_s=f"{_SHORTEST_S:g}"
            )
        )
    played = _played(clips, leads)
    for clip, one in zip(clips, played, strict=True):
        if not np.isfinite(one.loudness):
            raise ValidationError(
                _("“{clip}” is silent or too short to be matched in loudness.").format(clip=clip)
            )
    gains = matching_gains([one.loudness for one in played], [one.true_peak for one in played])
    return [Decimal(f"{gain:.3f}") for gain in gains]


APART = gettext_noop(
    "Loudness was matched over whole clips, by an older method: as they are played, one of the two "
    "is {db:.1f} dB louder than the other, and that alone can be heard."
)


def apart_words(blind: BlindTrial) -> str:
    """What must be said of a trial that was opened when whole clips were matched, and not exactly
    what is played of them; empty where both are equally loud, or a sound cannot be read."""
    key = "/".join(["blind", METHOD.replace(" ", "+"), str(blind.pk)])
    difference_db = cache.get(key)
    if difference_db is None:
        try:
            first, second = _played(_clips(blind), _leads(blind))
        except StoredFileUnreadable:
            return ""
        difference_db = second.loudness - first.loudness + float(blind.gain_b_db - blind.gain_a_db)
        cache.set(key, difference_db, _CACHED_S)
    if not abs(difference_db) > _EQUAL_LU:
        return ""
    return Said(APART, db=abs(float(difference_db)))


def _clips(blind: BlindTrial) -> tuple[Clip, Clip]:
    return blind.clip_a, blind.clip_b


def _leads(blind: BlindTrial) -> tuple[float, float]:
    return blind.lead_a_s, blind.lead_b_s


def _lasts(clips: Sequence[Clip], leads: Sequence[float]) -> list[float]:
    return [float(clip.seconds) - lead for clip, lead in zip(clips, leads, strict=True)]


def _played(clips: Sequence[Clip], leads: Sequence[float]) -> list[PlayedLevels]:
    rate = clips[0].sound.rate_hz
    return [played(cut, rate) for cut in _cuts(clips, leads)]


def _cuts(clips: Sequence[Clip], leads: Sequence[float]) -> list[NDArray[np.float64]]:
    """What is played of each, before its gain: of one length, one number of channels, faded."""
    rate = clips[0].sound.rate_hz
    frames = round(min(LONGEST_S, *_lasts(clips, leads)) * rate)
    # A stereo clip beside a mono one becomes mono, or its width would tell which it is.
    channels = 1 if any(clip.right is None for clip in clips) else 2
    return [
        _faded(_cut(clip, lead, frames, channels), rate)
        for clip, lead in zip(clips, leads, strict=True)
    ]


def _cut(clip: Clip, lead_s: float, frames: int, channels: int) -> NDArray[np.float64]:
    """Exactly so many frames from `lead_s` on; what is missing at the end is silence."""
    lead = round(lead_s * clip.sound.rate_hz)
    samples = start_of(clip, lead + frames)[lead:].astype(np.float64)
    if samples.shape[1] != channels:
        samples = samples.mean(axis=1, keepdims=True)
    return np.pad(samples, ((0, frames - len(samples)), (0, 0)))


def _faded(samples: NDArray[np.float64], rate: int) -> NDArray[np.float64]:
    """The samples faded out over the last 10 ms, so that the cut end does not click."""
    length = min(round(_FADE_S * rate), len(samples))
    samples[len(samples) - length :] *= np.linspace(1, 0, length)[:, None]
    return samples
