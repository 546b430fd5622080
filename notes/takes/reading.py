"""Read a long sound once: what is in it, and how loud each channel is all along. Fit for the
process of `notes.clips.decoder_process`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from notes.clips.decode import Block, Clock, Header, blocks, header
from notes.clips.survey import Survey, survey
from notes.takes.levels import LevelMeter


def hear_long(path: Path, *, longest_s: float, within_s: float) -> tuple[Header, Survey, bytes]:
    """With the packed levels. Raises SoundError for what is not taken, or takes too long."""
    read = header(path)
    meter = LevelMeter(read.rate, read.channels)
    heard = survey(_metered(blocks(path, read, Clock(within_s)), meter), read, longest_s=longest_s)
    return read, heard, meter.levels().packed()


def _metered(blocks: Iterable[Block], meter: LevelMeter) -> Iterator[Block]:
    for block in blocks:
        meter.add(block)
        yield block
