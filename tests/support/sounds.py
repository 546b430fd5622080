"""Sounds for tests, made here: tones, noise, and files of every kind that is taken."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from django.core.files.storage import default_storage
from numpy.typing import NDArray

from notes.clips.services import upload_clip
from notes.clips.storage import path_of
from notes.clips.uploads import on_disk
from notes.models import Clip, ListeningSession, Recording
from notes.takes.services import Brought, bring
from tests.support.world import World


def tone(
    seconds: float = 1.0,
    *,
    rate: int = 48_000,
    channels: int = 1,
    hz: float = 440.0,
    level: float = 0.25,
) -> NDArray[np.float64]:
    """A sine; each further channel a little lower in pitch and 6 dB down."""
    at = np.arange(round(seconds * rate)) / rate
    columns = [level / 2**n * np.sin(2 * np.pi * hz / (1 + n / 10) * at) for n in range(channels)]
    return np.stack(columns, axis=1)


def as_file(
    samples: NDArray[Any], rate: int = 48_000, format: str = "WAV", subtype: str = "PCM_24"
) -> bytes:
    out = io.BytesIO()
    soundfile.write(out, samples, rate, subtype, format=format)
    return out.getvalue()


def wav(seconds: float = 1.0, *, rate: int = 48_000, **more: Any) -> bytes:
    return as_file(tone(seconds, rate=rate, **more), rate)


def by_ffmpeg(folder: Path, data: bytes, ending: str, *options: str) -> bytes:
    """`data` converted by the ffmpeg program."""
    source, target = folder / "in.wav", folder / f"out.{ending}"
    source.write_bytes(data)
    command = ["ffmpeg", "-v", "error", "-y", "-i", str(source), *options, str(target)]
    subprocess.run(command, check=True, timeout=60)
    return target.read_bytes()


def bring_clip(world: World, data: bytes | None = None, **more: Any) -> Clip:
    """A clip of the world's input, by its engineer."""
    values: dict[str, Any] = {"rig": world.rig, "input": world.input, "by": world.engineer} | more
    return upload_clip(
        data=wav() if data is None else data, name=values.pop("name", "take.wav"), **values
    )


def samples(clip: Clip) -> tuple[Any, int]:
    """All samples of the working copy and its rate in Hz, read by libsndfile alone."""
    with default_storage.open(path_of(clip.working)) as stored:
        there, rate = soundfile.read(io.BytesIO(stored.read()), dtype="float64", always_2d=True)
    return there, rate


def bring_recording(world: World, session: ListeningSession, data: bytes, **more: Any) -> Recording:
    """A recording of the session, by the world's engineer; as uploaded, unless told otherwise."""
    values: dict[str, Any] = {"file_name": "all of it.wav"} | more
    with on_disk(data) as path:
        return bring(
            Brought(path=path, session=session, **values),
            by=world.engineer,
            most_bytes=100_000_000,
            within_s=60,
        )
