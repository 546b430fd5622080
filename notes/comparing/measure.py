"""What comparing reads from the sound of clips itself: outlines, pauses, how two hang together.

All of it follows from the bytes alone, so it is kept by their digests and worked out once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from django.core.cache import cache
from numpy.typing import NDArray

from notes.clips.relation import relation_of
from notes.clips.samples import start_of
from notes.listening import pauses
from notes.listening.bands import Bands
from notes.listening.envelope import envelope
from notes.listening.pauses import pause
from notes.listening.relation import Relation
from notes.listening.samples import Samples
from notes.models import Clip

# What is played side by side, drawn and searched for a pause: the beginning of a long clip.
LONGEST_S = 60.0
COLUMNS_PER_S = 50
LOST = "The sound of one of these clips is missing on the server."
_METHOD = f"hearing/1 {pauses.METHOD}"
_KEPT_S = 60 * 60 * 24 * 30


@dataclass(frozen=True, slots=True)
class Outline:
    """Least and greatest sample in each 1/50 s, shape (columns, 2), and the quietest stretch."""

    columns: NDArray[np.float64]
    pause: Bands | None


class Ears:
    """Listens to each clip once at most, and only where nothing is kept of it.

    Its methods raise FileNotFoundError where the storage has lost a clip's sound.
    """

    def __init__(self) -> None:
        self._heard: dict[Any, tuple[Samples, int]] = {}

    def outline(self, clip: Clip) -> Outline:
        key = _key(_METHOD, clip)
        found = cache.get(key)
        if found is None:
            samples, rate = self._samples(clip)
            columns = max(1, round(len(samples) / rate * COLUMNS_PER_S))
            found = Outline(envelope(samples, columns), pause(samples, rate))
            cache.set(key, found, _KEPT_S)
        return found  # type: ignore[no-any-return]

    def relation(self, first: Clip, second: Clip) -> Relation:
        return relation_of(first, second, lambda clip: self._samples(clip)[0])

    def _samples(self, clip: Clip) -> tuple[Samples, int]:
        if clip.pk not in self._heard:
            rate = int(clip.figures["rate_hz"])
            self._heard[clip.pk] = start_of(clip, round(LONGEST_S * rate)), rate
        return self._heard[clip.pk]


def _key(method: str, *clips: Clip) -> str:
    return "/".join([method.replace(" ", "+"), *(clip.working for clip in clips)])
