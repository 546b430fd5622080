"""A small copy of a clip for slow links: AAC in an MPEG-4 file, its index at the beginning.

Nearly every browser plays that, on telephones with old systems, too, where Opus in WebM is not
always played. 96 kbit/s for two channels, 64 for one: ten seconds weigh 120 kB at most.
"""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Any, Self

import av
import numpy as np

from notes.clips.decode import Block

BIT_RATES = {1: 64_000, 2: 96_000}


class PreviewWriter:
    """Takes blocks of shape (frames, 1 or 2); the file is whole after the `with` block."""

    def __init__(self, path: Path, rate: int, channels: int) -> None:
        self._rate, self._layout = rate, "mono" if channels == 1 else "stereo"
        self._out = av.open(
            f"file:{path}",
            "w",
            format="mp4",
            options={"movflags": "+faststart"},
            # Without date and version of the encoder, so that the same sound gives the same bytes.
            container_options={"fflags": "+bitexact"},
        )
        # Multiples of 44.1 kHz are resampled by a whole number; all others go to 48 kHz.
        played = 44_100 if rate % 44_100 == 0 else 48_000
        self._stream: Any = self._out.add_stream("aac", rate=played, layout=self._layout)
        self._stream.bit_rate = BIT_RATES[channels]
        self._resampler = av.AudioResampler(format="fltp", layout=self._layout, rate=played)

    def add(self, block: Block) -> None:
        # As one frame the encoder would be handed seconds at once, and libav counts in ints.
        for start in range(0, len(block), 16_384):
            part = np.ascontiguousarray(block[start : start + 16_384].T, dtype=np.float32)
            frame = av.AudioFrame.from_ndarray(part, format="fltp", layout=self._layout)
            frame.sample_rate = self._rate
            for fitting in self._resampler.resample(frame):
                self._out.mux(self._stream.encode(fitting))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: object, trace: TracebackType | None
    ) -> None:
        if kind is None:
            for fitting in self._resampler.resample(None):
                self._out.mux(self._stream.encode(fitting))
            self._out.mux(self._stream.encode(None))
        self._out.close()
