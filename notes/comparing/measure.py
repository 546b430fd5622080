"""What comparing reads from the sound of clips: their outlines and pauses, how two of them are
related, and the loudness and the bands of the section that is played.

All of it follows from the bytes alone, so it is cached under their digests and worked out once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from django.core.cache import cache
from numpy.typing import NDArray

from notes.clips.relation import relation_of
from notes.clips.samples import start_of
from notes.listening import bands, pauses
from notes.listening.bands import Bands, third_octaves
from notes.listening.envelope import envelope
from notes.listening.pauses import pause
from notes.listening.peaks import clipped_runs, dc_offset, is_offset
from notes.listening.played import METHOD, PlayedLevels, played
from notes.listening.relation import Relation
from notes.listening.samples import Samples
from notes.models import Clip

# What is played side by side, drawn and searched for a pause: the beginning of a long clip.
LONGEST_S = 60.0
COLUMNS_PER_S = 50
# Part of the keys in the cache, so that figures of an older method are never served.
_METHOD = f"hearing/1 {pauses.METHOD}"
_SECTION = f"section/1 {METHOD} {bands.METHOD}"
# Figures follow from the bytes and never go stale; they end after a month to keep the cache small.
_CACHED_S = 60 * 60 * 24 * 30


@dataclass(frozen=True, slots=True)
class ClipOutline:
    """Least and greatest sample in each 1/50 s, shape (columns, 2), and the quietest stretch."""

    columns: NDArray[np.float64]
    pause: Bands | None


@dataclass(frozen=True, slots=True)
class MeasuredSection:
    """What was measured of exactly the stretch of a clip that is played."""

    played: PlayedLevels
    bands: Bands
    clipped: int
    offset: float


class Ears:
    """Reads the sound of each clip at most once, and only for what the cache does not hold.

    Its methods raise StoredFileUnreadable where they need the sound and it cannot be read.
    """

    def __init__(self) -> None:
        self._heard: dict[Any, tuple[Samples, int]] = {}

    def outline(self, clip: Clip) -> ClipOutline:
        key = _key(_METHOD, clip)
        outline = cache.get(key)
        if outline is None:
            samples, rate = self._samples(clip)
            columns = max(1, round(len(samples) / rate * COLUMNS_PER_S))
            outline = ClipOutline(envelope(samples, columns), pause(samples, rate))
            cache.set(key, outline, _CACHED_S)
        return outline  # type: ignore[no-any-return]

    def section(self, clip: Clip, starts_s: float, seconds: float) -> MeasuredSection:
        """What is measured of a clip from `starts_s` on, over `seconds`."""
        rate = int(clip.figures["rate_hz"])
        start, end = round(starts_s * rate), round((starts_s + seconds) * rate)
        # By frames and not by seconds: two spellings of one stretch share an entry.
        key = f"{_key(_SECTION, clip)}/{start}-{end}"
        measured = cache.get(key)
        if measured is None:
            measured = _measured(self._samples(clip)[0][start:end], rate)
            cache.set(key, measured, _CACHED_S)
        return measured  # type: ignore[no-any-return]

    def relation(self, first: Clip, second: Clip) -> Relation:
        return relation_of(first, second, lambda clip: self._samples(clip)[0])

    def _samples(self, clip: Clip) -> tuple[Samples, int]:
        if clip.pk not in self._heard:
            rate = int(clip.figures["rate_hz"])
            self._heard[clip.pk] = start_of(clip, round(LONGEST_S * rate)), rate
        return self._heard[clip.pk]


def _measured(samples: Samples, rate: int) -> MeasuredSection:
    offset, peak = dc_offset(samples), float(np.abs(samples).max())
    return MeasuredSection(
        played(samples, rate),
        third_octaves(samples, rate),
        clipped_runs(samples),
        offset if is_offset(offset, peak, len(samples) / rate) else 0.0,
    )


def _key(method: str, *clips: Clip) -> str:
    return "/".join([method.replace(" ", "+"), *(clip.working for clip in clips)])
