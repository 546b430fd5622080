"""Sounds packed by the encoders of libav, with and without a note of where the sound begins."""

from __future__ import annotations

import io
from typing import Any

import av
import numpy as np
from numpy.typing import NDArray

RATE = 48_000
# How the samples have to reach each encoder.
_FORMATS = {"aac": "fltp", "libmp3lame": "fltp", "libopus": "flt", "flac": "s32", "alac": "s32p"}


def packed(
    sound: NDArray[np.float64], container: str, codec: str, options: dict[str, str] | None = None
) -> bytes:
    """One channel at 48 kHz in a container of libav's; `options` are the container's."""
    out = io.BytesIO()
    with av.open(out, "w", format=container, options=options or {}) as made:
        stream: Any = made.add_stream(codec, rate=RATE, layout="mono")
        stream.bit_rate = 128_000
        fitting = av.AudioResampler(format=_FORMATS[codec], layout="mono", rate=RATE)
        for start in range(0, len(sound), 4096):
            part = sound[None, start : start + 4096].astype(np.float32)
            frame = av.AudioFrame.from_ndarray(part, format="fltp", layout="mono")
            frame.sample_rate, frame.pts = RATE, start
            for each in fitting.resample(frame):
                made.mux(stream.encode(each))
        for each in fitting.resample(None):
            made.mux(stream.encode(each))
        # None asks the encoder for what it still holds back.
        made.mux(stream.encode(None))
    return out.getvalue()


def without_encoder_figures(mp3: bytes) -> bytes:
    """The information frame kept, and what its encoder wrote behind it (36 bytes) emptied."""
    at = _behind_the_tag(mp3)
    return mp3[:at] + bytes(36) + mp3[at + 36 :]


def with_delay_of_none(mp3: bytes) -> bytes:
    """The encoder named as it was, and 0 samples stated, as some that fill it in halfway do."""
    # The name and what it was set to take 21 bytes, both figures 3 (from memory).
    at = _behind_the_tag(mp3) + 21
    return mp3[:at] + bytes(3) + mp3[at + 3 :]


def _behind_the_tag(mp3: bytes) -> int:
    """After the tag: flags, counts, a table of 100 bytes and the quality (from memory)."""
    return max(mp3.find(b"Info"), mp3.find(b"Xing")) + 120
