"""Takes found: at known borders, and whatever is recorded, apart from each other and inside."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from notes.models import Recording, Take
from notes.takes.find import SHORTEST_TAKE_S, find_takes, playing
from notes.takes.index import parts_of
from notes.takes.levels import FRAME_S, LevelMeter, Levels, unpacked
from tests.notes.takes.rehearsal import BORDERS_S, WHOLE_S, rehearsal

pytestmark = pytest.mark.any_database


def levels_of(sound: Any, rate: int, block: int = 5_000) -> Levels:
    meter = LevelMeter(rate, sound.shape[1])
    for at in range(0, len(sound), block):
        meter.add(sound[at : at + block].astype(np.float32))
    return meter.levels()


def test_takes_lie_where_ffmpeg_put_them(tmp_path: Path) -> None:
    sound, rate = soundfile.read(rehearsal(tmp_path, channels=2), always_2d=True)
    found = find_takes([levels_of(sound, rate)], WHOLE_S)
    assert len(found) == len(BORDERS_S)
    for span, (starts, ends) in zip(found, BORDERS_S, strict=True):
        assert span.starts_s == pytest.approx(starts, abs=2 * FRAME_S)
        assert span.ends_s == pytest.approx(ends, abs=2 * FRAME_S)


def test_files_that_ran_together_are_heard_together() -> None:
    """One guitar tuned alone as loud as in the song: of eight channels seven say that it is no
    take."""
    band = np.full((240, 8), -60.0)
    band[100:200] = -20.0
    tuned = band.copy()
    tuned[10:70, 3] = -20.0
    alone = find_takes([Levels(tuned[:, 3:4])], 120.0)
    assert [(each.starts_s, each.ends_s) for each in alone] == [(5.0, 35.0), (50.0, 100.0)]
    files = [Levels(tuned[:, at : at + 1]) for at in range(8)]
    assert [(each.starts_s, each.ends_s) for each in find_takes(files, 120.0)] == [(50.0, 100.0)]


def test_a_stop_within_a_song_is_no_pause() -> None:
    song = np.full((200, 1), -60.0)
    song[20:180] = -20.0
    song[90:98] = -60.0  # four seconds
    (take,) = find_takes([Levels(song)], 100.0)
    assert (take.starts_s, take.ends_s) == (10.0, 90.0)


def test_silence_has_no_takes() -> None:
    assert find_takes([Levels(np.full((100, 2), -120.0))], 50.0) == []
    assert find_takes([], 0.0) == []


def test_level_is_that_of_the_sine(tmp_path: Path) -> None:
    """A sine of peak 1 has rms 1/√2: −3.01 dB (any handbook of electrical engineering)."""
    at = np.arange(48_000) / 48_000
    levels = levels_of(np.stack([np.sin(2 * np.pi * 100 * at), 0.1 * np.sin(at)], axis=1), 48_000)
    assert levels.db.shape == (2, 2)
    assert levels.db[0, 0] == pytest.approx(-3.0103, abs=0.01)


loudness = st.lists(st.integers(-120, 0), min_size=1, max_size=400)


@settings(max_examples=60, deadline=None)
@given(db=loudness, channels=st.integers(1, 4), cut=st.floats(0, 0.49))
def test_takes_and_pauses_are_the_whole(db: list[int], channels: int, cut: float) -> None:
    levels = Levels(np.repeat(np.array(db, dtype=float)[:, None], channels, axis=1))
    seconds = Decimal(len(db) * FRAME_S - cut).quantize(Decimal("0.0001"))
    recording = Recording(seconds=seconds)
    takes = [
        Take(
            recording=recording,
            starts_s=Decimal(span.starts_s).quantize(Decimal("0.0001")),
            ends_s=Decimal(span.ends_s).quantize(Decimal("0.0001")),
        )
        for span in find_takes([levels], float(seconds))
    ]
    assert all(take.seconds >= SHORTEST_TAKE_S - 0.001 for take in takes)
    assert all(0 <= take.starts_s < take.ends_s <= seconds for take in takes)
    assert all(one.ends_s <= other.starts_s for one, other in zip(takes, takes[1:], strict=False))
    parts = parts_of(recording, takes)
    assert sum(part.seconds for part in parts) == seconds
    assert [part.take for part in parts if part.take] == takes
    for one, other in zip(parts, parts[1:], strict=False):
        assert one.ends_s == other.starts_s


@settings(max_examples=40, deadline=None)
@given(data=st.data(), frames=st.integers(1, 60), channels=st.integers(1, 5))
def test_levels_are_packed_to_the_half_decibel(data: Any, frames: int, channels: int) -> None:
    row = st.lists(st.floats(-120, 7), min_size=channels, max_size=channels)
    db = np.array(data.draw(st.lists(row, min_size=frames, max_size=frames)))
    there = unpacked(Levels(db).packed(), channels)
    assert np.abs(there.db - db).max() <= 0.25 + 1e-9


@settings(max_examples=25, deadline=None)
@given(block=st.integers(1, 4_000))
def test_levels_do_not_depend_on_the_blocks(block: int) -> None:
    sound = np.random.default_rng(5).normal(0, 0.1, (9_500, 2))
    assert np.allclose(levels_of(sound, 8_000, block).db, levels_of(sound, 8_000).db, atol=1e-4)


def test_what_is_no_levels_is_refused() -> None:
    with pytest.raises(ValueError, match="no levels"):
        unpacked(b"anything", 1)


def test_playing_says_how_many_of_the_channels_play() -> None:
    db = np.full((100, 4), -60.0)
    db[50:] = -20.0
    db[20:40, 0] = -20.0
    evidence = playing([Levels(db)])
    assert evidence is not None
    assert evidence[30] == pytest.approx(0.25)
    assert evidence[70] == pytest.approx(1.0)
