"""A clip is brought: what is kept, what is refused and in which words, and that nothing is left."""

from __future__ import annotations

import hashlib
import io
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from pyloudnorm import Meter

from notes.clips.samples import blocks
from notes.clips.storage import broken_clips, open_copy, path_of
from notes.models import Clip, StoredSound
from tests.support.sounds import as_file, bring_clip, by_ffmpeg, samples, tone, wav
from tests.support.world import World, make_world

LUFS = Meter(48_000, filter_class="DeMan").integrated_loudness(tone(1))
needs_ffmpeg = pytest.mark.skipif(not shutil.which("ffmpeg"), reason="ffmpeg is not installed")


@pytest.fixture(autouse=True)
def empty_storage(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def files_in(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob("*") if p.is_file())


def refusal(world: World, data: bytes, **more: Any) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as refused:
        bring_clip(world, data, **more)
    return refused.value.message_dict


def test_what_is_kept_of_a_take(world: World) -> None:
    data = wav(2, channels=2)
    clip = bring_clip(world, data, name="C:\\takes\\Take 4.wav", left=1, right=2)
    assert clip.name == "Take 4"
    assert (clip.revision.number, clip.seconds, clip.starts_s) == (world.rig.head_number, 2, 0)
    file, content_type, size = open_copy(clip, "original")
    with file:
        assert file.read() == data
    assert (content_type, size) == ("audio/wav", len(data))
    assert clip.sound.sha256 == hashlib.sha256(data).hexdigest()
    assert default_storage.exists(path_of(clip.sound.sha256))
    assert list(broken_clips()) == []


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24"])
def test_the_working_copy_is_lossless(world: World, subtype: str) -> None:
    data = as_file(tone(0.5, channels=2), subtype=subtype)
    clip = bring_clip(world, data, left=2)
    there, rate = samples(clip)
    meant, _ = soundfile.read(io.BytesIO(data), dtype="float64", always_2d=True)
    assert rate == 48_000
    np.testing.assert_array_equal(there, meant[:, 1:])
    np.testing.assert_array_equal(np.concatenate(list(blocks(clip))), there)


def test_a_section_of_a_take_of_many_channels(world: World) -> None:
    wide = tone(3, channels=64, level=0.9)
    data = as_file(wide, subtype="PCM_16")
    clip = bring_clip(world, data, left=3, right=40, starts_s=1.25, seconds=0.5)
    there, _ = samples(clip)
    meant, _ = soundfile.read(io.BytesIO(data), dtype="float64", always_2d=True)
    np.testing.assert_array_equal(there, meant[60_000:84_000][:, [2, 39]])
    assert clip.sound.channels == 64
    again = bring_clip(world, data, left=1)
    assert again.sound == clip.sound
    assert StoredSound.objects.count() == 1


@pytest.mark.parametrize("rate", [8_000, 11_025, 44_100, 96_000, 192_000])
def test_every_usual_rate_is_kept_and_plays(world: World, rate: int) -> None:
    clip = bring_clip(world, wav(0.6, rate=rate))
    there, kept = samples(clip)
    assert (kept, len(there)) == (rate, round(0.6 * rate))
    file, _, _ = open_copy(clip, "preview")
    with file:
        assert b"ftyp" in file.read(12)


@pytest.mark.parametrize(
    ("format", "subtype"),
    [
        ("WAV", "FLOAT"),
        ("RF64", "PCM_24"),
        ("WAVEX", "PCM_16"),
        ("AIFF", "PCM_16"),
        ("FLAC", "PCM_24"),
        ("OGG", "VORBIS"),
        ("OGG", "OPUS"),
        ("MP3", "MPEG_LAYER_III"),
        ("CAF", "PCM_24"),
    ],
)
def test_what_libsndfile_reads(world: World, format: str, subtype: str) -> None:
    clip = bring_clip(world, as_file(tone(1), format=format, subtype=subtype))
    assert clip.figures["integrated"] == pytest.approx(LUFS, abs=0.2)
    assert float(clip.seconds) == pytest.approx(1, abs=0.06)


@needs_ffmpeg
@pytest.mark.parametrize(
    ("ending", "options"),
    [
        ("m4a", ("-c:a", "aac")),
        ("mp4", ("-c:a", "aac", "-movflags", "frag_keyframe+empty_moov")),
        ("webm", ("-c:a", "libopus")),
        ("webm", ("-c:a", "libopus", "-live", "1")),
        ("aac", ("-c:a", "aac")),
        ("mka", ("-c:a", "libopus", "-f", "webm")),
        ("m4a", ("-c:a", "alac")),
        ("mp3", ("-b:a", "192k")),
        ("mov", ("-c:a", "pcm_s16le")),
    ],
)
def test_what_phones_and_browsers_record(
    world: World, tmp_path: Path, ending: str, options: tuple[str, ...]
) -> None:
    data = by_ffmpeg(tmp_path, wav(1, channels=2), ending, *options)
    clip = bring_clip(world, data, name=f"memo.{ending}")
    # MP3 begins with a moment of silence of the encoder's own.
    assert clip.figures["integrated"] == pytest.approx(LUFS, abs=0.3)
    assert float(clip.seconds) == pytest.approx(1, abs=0.06)
    assert clip.sound.channels == 2


def test_what_goes_over_full_scale_is_turned_down_and_says_so(world: World) -> None:
    clip = bring_clip(world, as_file(tone(1, level=1.5), subtype="FLOAT"))
    assert clip.gain_db == -3.6  # 20 log 1.5 = 3.52
    there, _ = samples(clip)
    assert np.abs(there).max() == pytest.approx(1.5 * 10 ** (-3.6 / 20), rel=1e-4)
    assert clip.figures["clipped_runs"] == 0
    assert any("3.5 dB over full scale" in each for each in clip.sound.found["remarks"])


def test_what_is_refused_leaves_nothing(world: World, empty_storage: Path) -> None:
    nan = tone(1)
    nan[24_000] = np.nan
    over = wav(1)
    cases: list[tuple[bytes, dict[str, Any], str, str]] = [
        (b"", {}, "file", "empty"),
        (b"PK\x03\x04" + b"\0" * 100, {"name": "take.wav"}, "file", "ZIP"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 100, {}, "file", "a picture"),
        (bytes(range(256)) * 4, {}, "file", "not a sound that can be read"),
        (as_file(np.zeros((0, 1))), {}, "file", "no sound in this file"),
        (as_file(np.zeros((48_000, 1))), {}, "file", "silence"),
        (as_file(nan, subtype="FLOAT"), {}, "file", "From 0.50 s on"),
        (as_file(tone(0.5, channels=65), subtype="PCM_16"), {}, "file", "65 channels"),
        (as_file(tone(0.5, rate=384_000), 384_000), {}, "file", "384000"),
        (as_file(tone(0.5, rate=4_000), 4_000), {}, "file", "4000"),
        (wav(0.05), {}, "file", "0.05 s"),
        (over, {"left": 2}, "left", "channels 1 to 1"),
        (over, {"left": 0}, "left", "channels 1 to 1"),
        (over, {"right": 1}, "right", "first channel again"),
        (over, {"starts_s": 1}, "starts_s", "lasts 1.00 s"),
        (over, {"starts_s": -1}, "starts_s", "lasts 1.00 s"),
        (over, {"seconds": 0}, "seconds", "ends before"),
    ]
    for data, more, field, words in cases:
        said = refusal(world, data, **more)
        assert list(said) == [field], (said, words)
        assert words in said[field][0]
    assert files_in(empty_storage) == []
    assert not StoredSound.objects.exists()
    assert not Clip.objects.exists()


def test_silence_is_kept_when_it_is_wanted(world: World) -> None:
    clip = bring_clip(world, as_file(np.zeros((48_000, 1))), silent_ok=True)
    assert clip.figures["integrated"] is None
    assert clip.figures["true_peak"] is None
    assert clip.figures["correlation"] is None


def test_limits_of_size_and_length(world: World, settings: Any) -> None:
    settings.CLIP_MAX_SECONDS = 1
    assert "1 s at most" in refusal(world, wav(2))["seconds"][0]
    assert bring_clip(world, wav(2), seconds=0.5).figures["seconds"] == 0.5
    settings.SOUND_MAX_SECONDS = 1
    assert "longer than 1 seconds" in refusal(world, wav(2.5), seconds=0.5)["file"][0]
    settings.CLIP_MAX_BYTES = 1000
    assert "most a sound may have" in refusal(world, wav(1))["file"][0]
    settings.CLIP_MAX_BYTES, settings.CLIP_WORK_SECONDS = 10**9, 0
    assert "too long to read" in refusal(world, wav(0.9))["file"][0]


def test_a_clip_points_only_at_what_is_its_own(world: World) -> None:
    other = make_world("Another act")
    assert "input" in refusal(world, wav(), input=other.input)
    assert "revision" in refusal(world, wav(), revision=other.rig.revisions.first())


def test_an_upload_that_failed_after_its_files_takes_them_away(
    world: World, empty_storage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object, **more: object) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr(Clip, "save", fail)
    with pytest.raises(RuntimeError):
        bring_clip(world)
    assert files_in(empty_storage) == []
    assert not StoredSound.objects.exists()


def test_the_upload_of_a_form_is_taken(world: World) -> None:
    upload = SimpleUploadedFile("take.wav", wav(), "audio/wav")
    clip = bring_clip(world, file=upload)
    assert clip.sound.name == "take.wav"
    Path(default_storage.path(path_of(clip.working))).write_bytes(b"x")
    assert [each.problem for each in broken_clips()] == ["the file is not what was stored"]
