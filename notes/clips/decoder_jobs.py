"""The two jobs that read what somebody sent, fit for `notes.clips.decoder_process`."""

from __future__ import annotations

from pathlib import Path

from notes.clips.cut import Cut, CutSection, cut
from notes.clips.decode import Clock, Header, blocks, header
from notes.clips.preview import PreviewWriter
from notes.clips.survey import Survey, survey


def hear(path: Path, *, longest_s: float, within_s: float) -> tuple[Header, Survey]:
    """What is in the file. Raises SoundError for what is not taken, or takes too long."""
    read = header(path)
    return read, survey(blocks(path, read, Clock(within_s)), read, longest_s=longest_s)


def write_preview(path: Path, preview: Path, *, within_s: float) -> None:
    """A small copy of the whole file, of its first two channels at most. Raises SoundError."""
    read = header(path)
    channels = min(2, read.channels)
    with PreviewWriter(preview, read.rate, channels) as small:
        for block in blocks(path, read, Clock(within_s)):
            small.add(block[:, :channels].clip(-1.0, 1.0))


def cut_part(
    path: Path, part: CutSection, *, working: Path, preview: Path, within_s: float, silent_ok: bool
) -> Cut:
    """Write the two copies of a part of it. Raises SoundError."""
    return cut(
        path,
        header(path),
        part,
        working=working,
        preview=preview,
        clock=Clock(within_s),
        silent_ok=silent_ok,
    )
