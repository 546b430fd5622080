"""Two files that the ffmpeg program packed, each in its own way: what each encoder put before the
sound is taken off as the file states it, so that 3.00 ms between them are 3.00 ms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from notes.clips import decode
from notes.listening.beginning import Beginning
from notes.listening.relation import relate
from tests.support.captures import make_pair
from tests.support.packings import RATE
from tests.support.sounds import as_file, by_ffmpeg

pytestmark = pytest.mark.any_database
SHIFT_S = 0.003
PLAYED = make_pair("drum", 11, clean=True, delay_s=SHIFT_S, polarity=1)
# Ending and options of each. What they put before the sound by themselves, in samples at 48 kHz and
# as heard without what the file states: 1024 AAC, 1105 MP3, 312 Opus.
AAC = ("m4a", "-c:a", "aac", "-b:a", "128k")
MP3 = ("mp3", "-c:a", "libmp3lame", "-b:a", "128k")
OPUS = ("opus", "-c:a", "libopus", "-b:a", "96k")
SPEECH_OPUS = ("webm", "-c:a", "libopus", "-application", "voip", "-frame_duration", "60")
SLOWER_AAC = ("mov", "-c:a", "aac", "-b:a", "128k", "-ar", "44100")
SLOWER_MP3 = ("mp3", "-c:a", "libmp3lame", "-b:a", "96k", "-ar", "32000")


def read(path: Path, data: bytes) -> tuple[decode.Header, np.ndarray]:
    path.write_bytes(data)
    header = decode.header(path)
    return header, np.concatenate(list(decode.blocks(path, header, decode.Clock(30))))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (AAC, MP3),
        (OPUS, AAC),
        (MP3, SPEECH_OPUS),
        (SLOWER_AAC, OPUS),
        (SLOWER_MP3, SLOWER_AAC),
    ],
    ids=lambda way: way[0],
)
def test_what_both_state_is_taken_off(
    tmp_path: Path, first: tuple[str, ...], second: tuple[str, ...]
) -> None:
    sides = []
    for (ending, *options), sound in zip(
        (first, second), (PLAYED.first, PLAYED.second), strict=True
    ):
        wave = as_file(sound[: 3 * RATE])
        header, heard = read(tmp_path / "file", by_ffmpeg(tmp_path, wave, ending, *options))
        assert header.beginning == Beginning.STATED
        sides.append((header.rate, heard))
    (rate, one), (other_rate, other) = sides
    # Nothing else sounds, as with a DI.
    found = replace(relate(one, other, (rate, other_rate)), direct=True)
    assert found.is_certain
    # A tenth of a millisecond is 5 samples; the least that an encoder puts before is 312.
    assert found.delay_s == pytest.approx(SHIFT_S, abs=1e-4)
