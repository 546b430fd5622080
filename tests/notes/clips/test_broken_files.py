"""Damaged, truncated and invented files: refused in words or kept whole, never an error of the
service, and nothing of a refused file stays behind."""

from __future__ import annotations

import shutil
import struct
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from notes.clips.storage import broken_clips
from notes.models import Clip, StoredSound
from tests.support.sounds import as_file, by_ffmpeg, tone, wav
from tests.support.world import World

SECONDS = 0.4


def _packed() -> Iterator[tuple[str, bytes]]:
    for format, subtype in (
        ("WAV", "PCM_16"),
        ("WAV", "FLOAT"),
        ("RF64", "PCM_24"),
        ("AIFF", "PCM_24"),
        ("FLAC", "PCM_16"),
        ("OGG", "VORBIS"),
        ("OGG", "OPUS"),
        ("MP3", "MPEG_LAYER_III"),
        ("CAF", "PCM_16"),
    ):
        yield f"{format} {subtype}", as_file(tone(SECONDS, channels=2), 48_000, format, subtype)
    if shutil.which("ffmpeg"):
        with tempfile.TemporaryDirectory() as folder:
            for ending, codec in (("m4a", "aac"), ("webm", "libopus"), ("aac", "aac")):
                yield ending, by_ffmpeg(Path(folder), wav(SECONDS), ending, "-c:a", codec)


FILES = dict(_packed())
fuzzed = settings(
    max_examples=12,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    deadline=None,
)


class Sender:
    """Posts bytes to the form and looks at what came of it."""

    def __init__(self, client: Client, world: World, storage: Path) -> None:
        self.client, self.world, self.storage = client, world, storage
        self.url = reverse("notes:clip_new", args=[world.production.pk, world.rig.pk])

    def __call__(self, data: bytes, name: str = "take.wav") -> bool:
        """Whether it was kept. Raises AssertionError where something is half done."""
        before = self._state()
        fields = {"input": str(self.world.input.pk), "file": SimpleUploadedFile(name, data)}
        response = self.client.post(self.url, fields)
        assert response.status_code in (200, 302)
        assert list(broken_clips()) == []
        if response.status_code == 302:
            return True
        assert response.context["form"].errors["file"], response.context["form"].errors
        assert self._state() == before
        return False

    def _state(self) -> tuple[int, int, list[str]]:
        files = sorted(p.name for p in self.storage.rglob("*") if p.is_file())
        return Clip.objects.count(), StoredSound.objects.count(), files


@pytest.fixture
def send(world: World, client: Client, settings: Any, tmp_path: Path) -> Sender:
    settings.MEDIA_ROOT = tmp_path / "media"
    client.force_login(world.tech)
    return Sender(client, world, tmp_path / "media")


@pytest.mark.parametrize("name", FILES)
def test_whole_files_are_kept(send: Sender, name: str) -> None:
    assert send(FILES[name])
    assert Clip.objects.count() == 1


@pytest.mark.parametrize("name", FILES)
@fuzzed
@given(data=st.data())
def test_truncated(send: Sender, name: str, data: st.DataObject) -> None:
    whole = FILES[name]
    early = st.integers(0, min(200, len(whole) - 1))
    send(whole[: data.draw(early | st.integers(0, len(whole) - 1))])


@pytest.mark.parametrize("name", FILES)
@fuzzed
@given(data=st.data())
def test_bits_turned(send: Sender, name: str, data: st.DataObject) -> None:
    broken = bytearray(FILES[name])
    early = st.integers(0, min(120, len(broken) - 1))
    places = data.draw(st.lists(early | st.integers(0, len(broken) - 1), min_size=1, max_size=8))
    for place in places:
        broken[place] ^= 1 << data.draw(st.integers(0, 7))
    send(bytes(broken))


@fuzzed
@given(
    start=st.sampled_from(
        [
            b"",
            b"RIFF\xff\xff\xff\xffWAVE",
            b"FORM\x7f\xff\xff\xffAIFF",
            b"fLaC",
            b"OggS",
            b"ID3\x04",
            b"\xff\xfb\x90\x00",
            b"\xff\xf1\x50\x80",
            b"\0\0\0\x18ftypM4A ",
            b"\x1a\x45\xdf\xa3",
            b"RF64\xff\xff\xff\xffWAVEds64",
            b"caff\0\x01\0\0",
        ]
    ),
    rest=st.binary(max_size=600),
)
def test_random_bytes(send: Sender, start: bytes, rest: bytes) -> None:
    send(start + rest)


def _fmt(tag: int, channels: int, rate: int, bits: int) -> bytes:
    align = channels * bits // 8
    body = struct.pack(
        "<HHIIHH", tag, channels, rate, rate * align & 0xFFFFFFFF, align & 0xFFFF, bits
    )
    return b"fmt " + struct.pack("<I", 16) + body


@pytest.mark.parametrize(
    ("fmt", "length"),
    [
        (_fmt(1, 0, 48_000, 16), 9_600),
        (_fmt(1, 65_535, 48_000, 16), 9_600),
        (_fmt(1, 1, 0, 16), 9_600),
        (_fmt(1, 1, 0xFFFFFFFF, 16), 9_600),
        (_fmt(1, 1, 48_000, 0), 9_600),
        (_fmt(1, 1, 48_000, 4096), 9_600),
        (_fmt(0xFFFF, 1, 48_000, 16), 9_600),
        (_fmt(1, 2, 48_000, 16), 0xFFFFFFFF),
        (_fmt(1, 64, 192_000, 32), 0x7FFFFFF0),
        (_fmt(1, 1, 48_000, 16), 0),
        (b"", 9_600),
    ],
)
def test_headers_that_lie(send: Sender, fmt: bytes, length: int) -> None:
    sound = wav(0.2)[44:]
    data = b"WAVE" + fmt + b"data" + struct.pack("<I", length) + sound
    send(b"RIFF" + struct.pack("<I", 0xFFFFFFF0) + data)


def test_what_a_flac_header_claims_is_not_believed(send: Sender) -> None:
    whole = bytearray(FILES["FLAC PCM_16"])
    # STREAMINFO: 36 bits of total samples end at byte 26 of the file.
    whole[21] |= 0x0F
    whole[22:26] = b"\xff\xff\xff\xff"
    send(bytes(whole))


def test_a_truncated_wav_says_so(send: Sender) -> None:
    whole = wav(2)
    assert send(whole[: len(whole) // 2])
    remarks = StoredSound.objects.get().found["remarks"]
    assert remarks
    assert "Was it sent whole?" in remarks[0]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04" + b"\0" * 500, "ZIP"),
        (b"", "empty"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"<html></html>", "a web page"),
        (b"#EXTM3U\nfile:///etc/passwd\n", "not a sound"),
    ],
)
def test_what_is_only_named_like_a_sound(send: Sender, data: bytes, said: str) -> None:
    assert not send(data, "take.wav")
    fields = {"input": str(send.world.input.pk), "file": SimpleUploadedFile("a.wav", data)}
    assert said in str(send.client.post(send.url, fields).context["form"].errors["file"])


@pytest.mark.parametrize(
    ("rate", "kept"), [(65_535, True), (65_536, False), (100_001, False), (100_000, True)]
)
def test_a_rate_that_no_flac_can_say_is_refused_in_words(
    send: Sender, rate: int, kept: bool
) -> None:
    """RFC 9639, 9.1: hertz in 16 bits, or tens of hertz in 16 bits."""
    assert send(as_file(tone(SECONDS), rate, "WAV", "PCM_16")) == kept
