"""Cut a clip from a sound: a lossless working copy, a small one, and what was measured of it.

All in one pass: each block is cut, turned down if it must be, rounded to 24 bits, written, encoded
and measured, so that the whole sound is never in memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from core.languages.marked import Said, gettext_noop
from notes.clips.decode import Block, Clock, Header, blocks
from notes.clips.formats import SoundError
from notes.clips.measure import ClipMeter
from notes.clips.preview import PreviewWriter
from notes.clips.survey import SILENT_DB

SHORTEST_S = 0.1
_STEPS = 1 << 23  # of 24 bits to each side


@dataclass(frozen=True, slots=True)
class CutSection:
    """Channels from 0, frames, and the gain in dB at which they are stored."""

    channels: tuple[int, ...]
    start: int
    frames: int
    gain_db: float = 0.0


@dataclass(frozen=True, slots=True)
class Cut:
    frames: int
    figures: dict[str, Any]


def gain_for(peaks_db: Sequence[float | None]) -> float:
    """What turns the largest of these peaks down to full scale, in whole tenths of a dB."""
    highest = max((peak for peak in peaks_db if peak is not None), default=0.0)
    # Upwards, or the rounding would leave a peak above full scale.
    return -math.ceil(highest * 10) / 10 if highest > 0 else 0.0


def cut(
    source: Path,
    header: Header,
    section: CutSection,
    *,
    working: Path,
    preview: Path,
    clock: Clock,
    silent_ok: bool = False,
) -> Cut:
    """Write `working` (FLAC) and `preview` (AAC). Raises SoundError for what cannot be a clip."""
    channels = len(section.channels)
    gauge = ClipMeter(header.rate, channels)
    done = 0
    with (
        soundfile.SoundFile(working, "w", header.rate, channels, "PCM_24", format="FLAC") as flac,
        PreviewWriter(preview, header.rate, channels) as small,
    ):
        for block in _section(source, header, section, clock):
            steps = _in_24_bits(block, section.gain_db)
            # libsndfile takes 32-bit integers and writes the upper 24 bits.
            flac.write(steps << 8)
            working_samples = steps.astype(np.float32) / np.float32(_STEPS)
            # Measured and encoded from what is stored, not from what came, so that figures are of
            # the file.
            small.add(working_samples)
            gauge.add(working_samples)
            done += len(block)
    if done < SHORTEST_S * header.rate:
        raise SoundError(
            Said(gettext_noop("There is no sound there: the section begins after the end."))
            if done == 0
            else Said(
                gettext_noop("The section has {seconds:.2f} s; {least:g} s are the least."),
                seconds=done / header.rate,
                least=float(SHORTEST_S),
            )
        )
    figures = gauge.figures()
    _check_heard(figures["sample_peak"], silent_ok)
    return Cut(done, figures)


def _check_heard(peak_db: float | None, silent_ok: bool) -> None:
    if (peak_db is None or peak_db <= SILENT_DB) and not silent_ok:
        raise SoundError(
            Said(
                gettext_noop(
                    "This is silence: nothing in it is louder than −90 dBFS. Is it the right "
                    "channel? If silence is what you want to keep, say so."
                )
            )
        )


def _section(source: Path, header: Header, section: CutSection, clock: Clock) -> Iterator[Block]:
    left = section.frames
    chosen = list(section.channels)
    for block in blocks(source, header, clock, start=section.start):
        yield block[:left, chosen]
        left -= len(block)
        if left <= 0:
            return


def _in_24_bits(block: Block, gain_db: float) -> np.ndarray[Any, np.dtype[np.int32]]:
    """A block in steps of 24 bits, exact for what was PCM of up to 24 bits and keeps its level."""
    if gain_db:
        block = block * np.float32(10 ** (gain_db / 20))
    # +1.0 has no place in two's complement: the largest is one step below.
    steps = np.rint(block * np.float32(_STEPS)).clip(-_STEPS, _STEPS - 1)
    return np.asarray(steps, dtype=np.int32)
