"""The broadcast extension chunk, against chunks laid out by hand after EBU Tech 3285 (sections 2.3
and 2.4) and against what the ffmpeg program writes."""

from __future__ import annotations

import io
import shutil
import struct
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notes.clips.bext import parse_bext, read_bext
from tests.support.sounds import by_ffmpeg, wav


def bext_chunk(
    description: str = "",
    originator: str = "",
    date: str = "",
    time: str = "",
    reference: int = 0,
    version: int = 0,
    levels: tuple[int, ...] = (0, 0, 0, 0, 0),
    history: str = "",
    own_reference: str = "",
) -> bytes:
    """256 + 32 + 32 + 10 + 8 bytes of text, u32 low and high, u16 version, 64 bytes UMID, five
    i16 of loudness, 180 bytes reserved, then the coding history."""
    body = b"".join(
        text.encode("latin-1").ljust(size, b"\0")
        for text, size in (
            (description, 256),
            (originator, 32),
            (own_reference, 32),
            (date, 10),
            (time, 8),
        )
    )
    body += struct.pack("<II", reference & 0xFFFFFFFF, reference >> 32)
    body += struct.pack("<H", version) + b"\0" * 64 + struct.pack("<5h", *levels) + b"\0" * 180
    assert len(body) == 602
    return body + history.encode("latin-1")


def with_chunk(data: bytes, body: bytes, name: bytes = b"bext") -> bytes:
    """A WAV file with one more chunk at the front."""
    chunk = name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)
    riff = data[12:]
    return b"RIFF" + struct.pack("<I", 4 + len(chunk) + len(riff)) + b"WAVE" + chunk + riff


def test_every_field() -> None:
    body = bext_chunk(
        description="Bass, take 4",
        originator="A recorder",
        own_reference="REF0001",
        date="2026-09-04",
        time="20:15:30",
        reference=5_000_000_000,
        version=2,
        levels=(-2300, 720, -110, -1850, -2010),
        history="A=PCM,F=48000,W=24,M=mono\r\n",
    )
    found = read_bext(io.BytesIO(with_chunk(wav(0.1), body)))
    assert found is not None
    assert (found.description, found.originator) == ("Bass, take 4", "A recorder")
    assert found.originator_reference == "REF0001"
    assert found.originated_at == datetime(2026, 9, 4, 20, 15, 30)
    assert found.time_reference == 5_000_000_000
    assert (found.loudness, found.loudness_range, found.true_peak) == (-23.0, 7.2, -1.1)
    assert found.coding_history == "A=PCM,F=48000,W=24,M=mono"


@pytest.mark.parametrize("date", ["2026-09-04", "2026_09_04", "2026:09:04", "2026/09/04"])
def test_any_separator_is_read(date: str) -> None:
    found = parse_bext(bext_chunk(date=date, time="08.05.00"))
    assert found is not None
    assert found.originated_at == datetime(2026, 9, 4, 8, 5)


def test_what_was_not_measured_and_what_is_no_date() -> None:
    found = parse_bext(bext_chunk(date="0000-00-00", version=2, levels=(0x7FFF,) * 5))
    assert found is not None
    assert (found.loudness, found.originated_at) == (None, None)


def test_files_without_it() -> None:
    assert read_bext(io.BytesIO(wav(0.1))) is None
    assert read_bext(io.BytesIO(b"fLaC")) is None
    short = with_chunk(wav(0.1), b"\0" * 300)
    assert read_bext(io.BytesIO(short)) is None


@pytest.mark.skipif(not shutil.which("ffmpeg"), reason="ffmpeg is not installed")
@pytest.mark.parametrize("more", [(), ("-rf64", "always")])
def test_what_ffmpeg_writes(tmp_path: Path, more: tuple[str, ...]) -> None:
    data = by_ffmpeg(
        tmp_path,
        wav(0.2),
        "wav",
        "-write_bext",
        "1",
        *more,
        "-metadata",
        "description=Organ, both sides",
        "-metadata",
        "originator=the mix desk",
        "-metadata",
        "origination_date=2026-10-11",
        "-metadata",
        "origination_time=12:13:14",
        "-metadata",
        "time_reference=2116848000",
        "-metadata",
        "coding_history=A=PCM",
    )
    found = read_bext(io.BytesIO(data))
    assert found is not None
    assert (found.description, found.originator) == ("Organ, both sides", "the mix desk")
    assert found.originated_at == datetime(2026, 10, 11, 12, 13, 14)
    assert found.time_reference == 2_116_848_000
    assert found.coding_history.startswith("A=PCM")


@given(st.binary(max_size=900))
def test_no_bytes_break_it(body: bytes) -> None:
    read_bext(io.BytesIO(body))
    read_bext(io.BytesIO(b"RIFF\0\0\0\0WAVE" + body))
    read_bext(io.BytesIO(b"RF64\0\0\0\0WAVEds64" + body))
    read_bext(io.BytesIO(with_chunk(wav(0.01), body)))
    parse_bext(body)
