"""Read a whole sound once as it arrives: how long it is, how loud each channel, what is odd.

Pure: blocks in, a Survey out; memory does not grow with the length.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.clips.decode import Block, Header
from notes.clips.formats import SoundError
from notes.listening.peaks import ClippedRuns
from notes.listening.samples import decibels

SILENT_DB = -90.0  # one step of 16 bits: what is left where nothing was plugged in
_OUTLINE = 400  # at most so many points


@dataclass(frozen=True, slots=True)
class ChannelSurvey:
    """Peak and rms in dBFS (None: digital silence), runs at full scale, and an outline: the
    peak of each stretch, 0 to 100 of the whole sound's peak."""

    peak_db: float | None
    rms_db: float | None
    clipped: int
    outline: list[int] = field(default_factory=list)

    @property
    def silent(self) -> bool:
        return self.peak_db is None or self.peak_db <= SILENT_DB


@dataclass(frozen=True, slots=True)
class Survey:
    frames: int
    channels: list[ChannelSurvey]
    remarks: list[str]

    def as_json(self) -> dict[str, Any]:
        return {"channels": [asdict(each) for each in self.channels], "remarks": self.remarks}


class PeakOutline:
    """The largest value of each stretch, in stretches that double whenever there are too many.

    Of a stretch that is not whole only the largest value so far is kept: an hour of 32 channels has
    stretches of many megabytes.
    """

    def __init__(self, channels: int, most: int = _OUTLINE) -> None:
        self._size, self._most = 256, most
        self._peaks = np.zeros((0, channels), np.float32)
        self._open, self._count = np.zeros((1, channels), np.float32), 0

    def add(self, magnitudes: NDArray[np.float32]) -> None:
        if self._count:
            missing = self._size - self._count
            magnitudes = self._begun(magnitudes[:missing], magnitudes[missing:])
        whole = len(magnitudes) // self._size
        used = whole * self._size
        if whole:
            peaks = magnitudes[:used].reshape(whole, self._size, -1).max(axis=1)
            self._peaks = np.concatenate([self._peaks, peaks])
        if used < len(magnitudes):
            self._begun(magnitudes[used:], magnitudes[:0])
        while len(self._peaks) > self._most:
            self._halve()

    def _begun(self, more: NDArray[np.float32], rest: NDArray[np.float32]) -> NDArray[np.float32]:
        """Add to the stretch that is not whole, and give what comes after it."""
        self._open = np.maximum(self._open, more.max(axis=0, initial=0))
        self._count += len(more)
        if self._count == self._size:
            self._peaks = np.concatenate([self._peaks, self._open])
            self._open, self._count = np.zeros_like(self._open), 0
        return rest

    def _halve(self) -> None:
        odd = self._peaks[len(self._peaks) // 2 * 2 :]
        pairs = self._peaks[: len(self._peaks) // 2 * 2]
        self._peaks = pairs.reshape(-1, 2, pairs.shape[1]).max(axis=1)
        self._size *= 2
        if len(odd):  # half a stretch is known by its peak alone; count it as a whole one
            self._peaks = np.concatenate([self._peaks, odd])

    def result(self) -> NDArray[np.float32]:
        """Shape (stretches, channels); at least one stretch once anything was added."""
        return np.concatenate([self._peaks, self._open]) if self._count else self._peaks


def survey(blocks: Iterable[Block], header: Header, *, longest_s: float) -> Survey:
    """Read all blocks of a sound once, of at most `longest_s` seconds.

    Raises SoundError for what is empty, too long, or holds what is no number.
    """
    outline, clipped = PeakOutline(header.channels), ClippedRuns(header.channels)
    frames, most = 0, longest_s * header.rate
    peaks, power = np.zeros(header.channels), np.zeros(header.channels)
    for block in blocks:
        magnitudes = np.abs(block)
        tops = magnitudes.max(axis=0, initial=0)
        # What is no number shows in the largest; only then it is looked for.
        if not np.isfinite(tops).all():
            _check_numbers(block, frames, header.rate)
        frames += len(block)
        if frames > most:
            raise SoundError(
                Said(
                    gettext_noop("The sound is longer than {length}. Upload a part of it."),
                    length=_minutes(longest_s),
                )
            )
        peaks = np.maximum(peaks, tops)
        # In float64: sums of an hour would lose what is quiet in float32.
        power += np.einsum("ij,ij->j", block, block, dtype=np.float64)
        outline.add(magnitudes)
        clipped.add(block, tops)
    if frames == 0:
        raise SoundError(
            Said(
                gettext_noop("There is no sound in this file: it has a beginning and then nothing.")
            )
        )
    shown = _percent(outline.result(), float(peaks.max()))
    channels = [
        ChannelSurvey(_db(float(peak)), _db(float(np.sqrt(p / frames))), count, column.tolist())
        for peak, p, count, column in zip(peaks, power, clipped.counts, shown.T, strict=True)
    ]
    return Survey(frames, channels, list(_remarks(header, frames, channels)))


def _check_numbers(block: Block, before: int, rate: int) -> None:
    bad = ~np.isfinite(block).all(axis=1)
    if bad.any():
        at = (before + int(np.argmax(bad))) / rate
        raise SoundError(
            Said(
                gettext_noop(
                    "From {at:.2f} s on the sound holds values that are no numbers, as a crashed "
                    "program writes them. Export it again."
                ),
                at=at,
            )
        )


def _percent(outline: NDArray[np.float32], peak: float) -> NDArray[np.int64]:
    # Upwards, so that whatever is not silent can be seen.
    return np.asarray(np.ceil(outline / peak * 100) if peak else outline, dtype=np.int64)


def _db(value: float) -> float | None:
    return round(decibels(value), 2) if value > 0 else None


def _remarks(header: Header, frames: int, channels: list[ChannelSurvey]) -> Iterable[str]:
    missing = (header.frames - frames) / header.rate
    # What is packed with loss is a little longer or shorter than its header says.
    if missing > (0.05 if header.bits else 0.5):
        yield (
            f"The file says that it lasts {header.frames / header.rate:.1f} s, but ends after "
            f"{frames / header.rate:.1f} s. Was it sent whole?"
        )
    if header.bits == 8:
        yield gettext_noop("Recorded with 8 bits: what hisses may be the file, not the rig.")
    if header.bits == 0 and header.kind.words not in ("FLAC",) and header.floating:
        yield gettext_noop(
            "Packed with loss: fit for listening, less so for measuring the top end."
        )
    loudest = max((each.peak_db for each in channels if each.peak_db is not None), default=0.0)
    if header.floating and loudest > 0:
        yield (
            f"Goes {loudest:.1f} dB over full scale. What is cut from it is turned down to fit, "
            "and says by how much."
        )


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:g} minutes" if seconds >= 120 else f"{seconds:g} seconds"
