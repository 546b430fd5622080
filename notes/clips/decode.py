"""Read an uploaded sound in blocks, whatever it is packed in.

Memory does not grow with the length. Nothing that a header says is believed: frames are counted as
they come. libsndfile reads what it can; the rest goes to libav, which is told the one format it may
try, so that nothing in a file can lead it to another file or to the network.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import av
import numpy as np
import soundfile
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.clips.bext import data_length
from notes.clips.formats import HEAD, MP3, OGG, RF64, WAV, SoundError, SoundFormat, sniff
from notes.listening.beginning import MP3_READER, Beginning, by_coding, by_first_packet

Block = NDArray[np.float32]

CHANNELS, RATES = (1, 64), (8_000, 192_000)
DAMAGED = Said(
    gettext_noop("The sound is damaged or not complete. Export it again, or upload it again.")
)
TOO_LONG = Said(
    gettext_noop("This takes too long to read. Cut the sound shorter, or upload it as WAV.")
)
_BLOCK_SAMPLES = 1 << 18  # of all channels together
_LIBAV_CODECS = ("aac", "opus", "vorbis", "mp3", "mp3float", "alac", "flac", "libopus")
_BITS = {
    "PCM_S8": 8,
    "PCM_U8": 8,
    "PCM_16": 16,
    "PCM_24": 24,
    "PCM_32": 32,
    "FLOAT": 32,
    "DOUBLE": 64,
}
_COVERS = ("mjpeg", "png", "bmp", "gif", "webp")  # a picture of the record, kept as a “film”
# What libsndfile, libav and numpy raise on what somebody made up. EOFError: libav at the end.
_BROKEN = (
    soundfile.SoundFileError,
    av.FFmpegError,
    OSError,
    ValueError,
    RuntimeError,
    MemoryError,
    OverflowError,
    IndexError,
    TypeError,
    EOFError,
    KeyError,
    AttributeError,
)


@dataclass(frozen=True, slots=True)
class Header:
    """What a file says it holds. `frames` is its own word for it, 0 where it has none.

    `bits` is 0 for what is packed with loss; `floating` where samples may go over full scale;
    `beginning` is what is known of where the sound begins.
    """

    kind: SoundFormat
    coding: str
    rate: int
    channels: int
    frames: int
    bits: int = 0
    floating: bool = False
    beginning: Beginning = Beginning.UNKNOWN

    @property
    def format(self) -> str:
        return f"{self.kind.words.lower()}/{self.coding.lower()}"


class Clock:
    """A limit on the time that one file may take, looked at between blocks. Raises SoundError when
    it is over. What hangs within a block is ended from outside (notes.clips.decoder_process)."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds

    def check(self) -> None:
        if time.monotonic() > self._end:
            raise SoundError(TOO_LONG)


def kind_of(path: Path) -> SoundFormat:
    with path.open("rb") as file:
        return sniff(file.read(HEAD))


def header(path: Path) -> Header:
    """What the header of a file says. Raises SoundError, with why, for what cannot be read."""
    kind = kind_of(path)
    try:
        header = _libav_header(path, kind) if kind.libav else _sndfile_header(path, kind)
    except SoundError:
        raise
    except _BROKEN:
        raise SoundError(DAMAGED) from None
    least, most = CHANNELS
    # After the header was read and before anything is set aside for its channels.
    if not least <= header.channels <= most:
        raise SoundError(
            Said(
                gettext_noop("The sound has {channels} channels; {most} are the most."),
                channels=header.channels,
                most=most,
            )
        )
    low, high = RATES
    if not low <= header.rate <= high:
        raise SoundError(
            Said(
                gettext_noop(
                    "The sound has {rate} samples a second; from {low} to {high} are taken."
                ),
                rate=header.rate,
                low=low,
                high=high,
            )
        )
    if not fits_in_flac(header.rate):
        raise SoundError(
            Said(
                gettext_noop(
                    "The sound has {rate} samples a second. Above 65535 the lossless copy holds "
                    "whole tens only. Is the file whole?"
                ),
                rate=header.rate,
            )
        )
    return header


def fits_in_flac(rate: int) -> bool:
    """Whether a frame of FLAC can say it: 16 bits of hertz, or of tens of them (RFC 9639, 9.1)."""
    return rate < 1 << 16 or rate % 10 == 0


def blocks(path: Path, header: Header, clock: Clock, *, start: int = 0) -> Iterator[Block]:
    """Frames from `start` on, float32 of shape (frames, channels), full scale 1.0.

    Raises SoundError where the sound breaks off in a way that is no end.
    """
    reader = _libav_blocks if header.kind.libav else _sndfile_blocks
    try:
        for block in reader(path, header, start):
            clock.check()
            yield block
    except SoundError:
        raise
    except _BROKEN:
        raise SoundError(DAMAGED) from None


def _sndfile_header(path: Path, kind: SoundFormat) -> Header:
    with soundfile.SoundFile(path) as file:
        coding, bits = file.subtype, _BITS.get(file.subtype, 0)
        # A file of unknown length says the largest number there is.
        frames = file.frames if 0 < file.frames < 1 << 40 else 0
        if bits and kind in (WAV, RF64):
            frames = max(frames, _stated_bytes(path) // (file.channels * bits // 8))
        return Header(
            kind,
            coding,
            file.samplerate,
            file.channels,
            frames,
            bits,
            floating=coding in ("FLOAT", "DOUBLE") or kind in (OGG, MP3),
            beginning=by_coding(coding) or _stated_beginning(path, kind),
        )


def _stated_beginning(path: Path, kind: SoundFormat) -> Beginning:
    """What is known of the beginning of an MP3. libsndfile, which reads it, takes off what the
    information frame states, and says nothing of it."""
    if kind != MP3:
        return Beginning.UNKNOWN
    with suppress(*_BROKEN), _open(path, replace(kind, libav="mp3")) as container:
        return by_first_packet(container.demux(container.streams.audio[0]), MP3_READER)
    return Beginning.UNKNOWN


def _stated_bytes(path: Path) -> int:
    """Bytes of sound by the file's own word: libsndfile counts what is there."""
    with path.open("rb") as file:
        return data_length(file) or 0


def _sndfile_blocks(path: Path, header: Header, start: int) -> Iterator[Block]:
    size = max(256, _BLOCK_SAMPLES // header.channels)
    with soundfile.SoundFile(path) as file:
        skip = start
        if start and header.kind.seeks and start < file.frames:
            # Only where seeking is exact to the frame; elsewhere what comes before is read and
            # dropped.
            file.seek(start)
            skip = 0
        while True:
            block = file.read(size, dtype="float32", always_2d=True)
            if len(block) == 0:
                return
            if skip < len(block):
                yield block[skip:]
            skip = max(0, skip - len(block))


def _open(path: Path, kind: SoundFormat) -> Any:
    return av.open(
        f"file:{path}",
        # The format that the first bytes showed. Left to guess, libav might take a playlist, which
        # names other files and addresses.
        format=kind.libav,
        metadata_errors="ignore",
        timeout=20,
        # Nor may what the file names be fetched over a network.
        options={"protocol_whitelist": "file"},
    )


def _sound_of(container: Any) -> Any:
    """The one stream of sound. A film is refused: it would be kept, pictures and all."""
    for stream in container.streams.video:
        if stream.codec_context is None or stream.codec_context.name not in _COVERS:
            raise SoundError(Said(gettext_noop("This is a film. Upload its sound alone.")))
    if not container.streams.audio:
        raise SoundError(Said(gettext_noop("There is no sound in this file.")))
    stream = container.streams.audio[0]
    if stream.codec_context is None:
        raise SoundError(
            Said(gettext_noop("The sound in this file is packed in a way that cannot be read."))
        )
    name = stream.codec_context.name
    if name not in _LIBAV_CODECS and not name.startswith("pcm_"):
        raise SoundError(
            Said(
                gettext_noop("The sound in this file is packed as “{name}”, which is not taken."),
                name=name,
            )
        )
    return stream


def _libav_header(path: Path, kind: SoundFormat) -> Header:
    with _open(path, kind) as container:
        stream = _sound_of(container)
        rate, seconds = int(stream.rate or 0), 0.0
        with suppress(TypeError, ZeroDivisionError):
            seconds = float(stream.duration * stream.time_base)
        if not seconds and container.duration:
            seconds = container.duration / av.time_base
        coding = stream.codec_context.name
        return Header(
            kind,
            coding,
            rate,
            int(stream.channels or 0),
            max(0, round(seconds * rate)),
            floating=not coding.startswith(("pcm_s", "flac", "alac")),
            beginning=_beginning_of(container, stream),
        )


def _beginning_of(container: Any, stream: Any) -> Beginning:
    """A sound that starts after its film or its recording has a gap before it that is not read."""
    if stream.start_time:
        return Beginning.UNKNOWN
    known = by_coding(stream.codec_context.name)
    with suppress(*_BROKEN):
        return known or by_first_packet(container.demux(stream))
    return Beginning.UNKNOWN


def _libav_blocks(path: Path, header: Header, start: int) -> Iterator[Block]:
    size = max(256, _BLOCK_SAMPLES // header.channels)
    waiting: list[Block] = []
    count, skip = 0, start
    with _open(path, header.kind) as container:
        for frame in container.decode(_sound_of(container)):
            block = _as_block(frame, header)
            if skip >= len(block):
                skip -= len(block)
                continue
            waiting.append(block[skip:])
            count += len(block) - skip
            skip = 0
            if count >= size:
                yield np.concatenate(waiting)
                waiting, count = [], 0
    if waiting:
        yield np.concatenate(waiting)


def _as_block(frame: Any, header: Header) -> Block:
    values = frame.to_ndarray()
    channels = frame.layout.nb_channels
    if channels != header.channels or frame.sample_rate != header.rate:
        raise SoundError(
            Said(gettext_noop("The sound changes its rate or its channels on the way."))
        )
    block = values.T if frame.format.is_planar else values.reshape(-1, channels)
    if values.dtype.kind == "f":
        return np.ascontiguousarray(block, dtype=np.float32)
    if values.dtype == np.uint8:
        # 8-bit PCM is unsigned, with silence at 128.
        return np.asarray((block.astype(np.float32) - 128) / 128)
    # By 2¹⁵ or 2³¹: full scale is the most negative value, as in libsndfile.
    return np.asarray(block / np.float64(-int(np.iinfo(values.dtype).min)), dtype=np.float32)
