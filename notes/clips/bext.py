"""The broadcast extension chunk of a WAV file (EBU Tech 3285), from the file's bytes. Pure.

What a recorder wrote of a take: what it is, who wrote it, when, and the sample since midnight at
which it starts. RF64 files (EBU Tech 3306) lay their chunks the same way. No length in the file is
believed beyond what is there.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import BinaryIO

# Somebody may make a file of nothing but empty chunks.
_MOST_CHUNKS = 200
_FIXED = 602  # bytes before the coding history
_MOST_HISTORY = 4000
_UNTOLD = 0x7FFF_FF00  # bytes; from here on a length is a placeholder
_UNKNOWN = 0x7FFF  # a loudness that was not measured


@dataclass(frozen=True, slots=True)
class Bext:
    """Text as it stands. `time_reference` in samples since midnight; loudness fields in LU, LUFS
    and dBTP, None where the file has none (they came with version 2)."""

    description: str = ""
    originator: str = ""
    originator_reference: str = ""
    origination_date: str = ""
    origination_time: str = ""
    time_reference: int = 0
    version: int = 0
    loudness: float | None = None
    loudness_range: float | None = None
    true_peak: float | None = None
    coding_history: str = ""

    @property
    def originated_at(self) -> datetime | None:
        """The moment by the recorder's own clock, without a zone; None where it is no date.

        Any separator is taken, as the standard asks of readers.
        """
        day, at = _numbers(self.origination_date), _numbers(self.origination_time)
        try:
            clock = time(at[0], at[1], at[2]) if len(at) == 3 else time()
            return datetime.combine(date(*day), clock) if len(day) == 3 else None
        except ValueError:
            return None


def _numbers(text: str) -> list[int]:
    parts = "".join(c if c in "0123456789" else " " for c in text).split()
    return [int(part) for part in parts]


def read_bext(file: BinaryIO) -> Bext | None:
    """The chunk of the WAV or RF64 file, or None where it has none or is no such file."""
    for name, length in _chunks(file):
        if name == b"bext":
            return parse_bext(file.read(min(length, _FIXED + _MOST_HISTORY)))
    return None


def data_length(file: BinaryIO) -> int | None:
    """How many bytes of sound the file says it has; None where it does not say.

    A program that writes to a pipe cannot know, and writes the largest number there is.
    """
    for name, length in _chunks(file):
        if name == b"data":
            return length if 0 < length < _UNTOLD or length > 0xFFFFFFFF else None
    return None


def _chunks(file: BinaryIO) -> Iterator[tuple[bytes, int]]:
    """Names and lengths in bytes, with the file standing at the beginning of the chunk's body."""
    head = file.read(12)
    if len(head) < 12 or head[:4] not in (b"RIFF", b"RF64") or head[8:] != b"WAVE":
        return
    large = 0  # the real length of the data chunk of an RF64 file
    for _ in range(_MOST_CHUNKS):
        start = file.read(8)
        if len(start) < 8:
            return
        name, length = start[:4], int.from_bytes(start[4:], "little")
        body = file.tell()
        # In RF64 the real length stands here, and the data chunk itself says 0xFFFFFFFF.
        if name == b"ds64" and length >= 16:
            large = int.from_bytes(file.read(16)[8:16], "little")
            file.seek(body)
        elif name == b"data" and length == 0xFFFFFFFF and large:
            length = large
        if length > 1 << 40:  # more than any file: a damaged length, nowhere to go on
            return
        yield name, length
        # Chunks begin at even bytes: an odd length has a byte of padding after it.
        file.seek(body + length + length % 2)


def parse_bext(body: bytes) -> Bext | None:
    """Read the chunk from its body; None where the body ends before its fixed part does."""
    if len(body) < _FIXED:
        return None
    # Offsets of EBU Tech 3285: 338 the time reference and the version, 412 the loudness fields.
    low, high, version = struct.unpack_from("<IIH", body, 338)
    levels = struct.unpack_from("<5h", body, 412) if version >= 2 else (_UNKNOWN,) * 5
    return Bext(
        description=_text(body[:256]),
        originator=_text(body[256:288]),
        originator_reference=_text(body[288:320]),
        origination_date=_text(body[320:330]),
        origination_time=_text(body[330:338]),
        time_reference=high << 32 | low,
        version=version,
        loudness=_level(levels[0]),
        loudness_range=_level(levels[1]),
        true_peak=_level(levels[2]),
        coding_history=_text(body[_FIXED:]),
    )


def _text(field: bytes) -> str:
    """A field up to its first zero byte. The standard asks for ASCII; recorders write other text,
    too."""
    raw = field.split(b"\0", 1)[0]
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return "".join(c for c in text if c.isprintable() or c in "\r\n").strip()


def _level(hundredths: int) -> float | None:
    return None if hundredths == _UNKNOWN else hundredths / 100
