"""Files from outside are read in a process of its own: what hangs or dies there is ended, and the
next one is heard."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any

import pytest

from core.uploads import apart
from notes.clips import decoder_process
from notes.clips.decode import DAMAGED, TOO_LONG
from notes.clips.decoder_jobs import hear
from notes.clips.formats import SoundError
from tests.support.sounds import wav


@pytest.fixture(autouse=True)
def no_grace(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "GRACE_S", 0.2)


def is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def test_it_is_another_process_and_stays() -> None:
    first = decoder_process.run(os.getpid, seconds=10)
    assert first != os.getpid()
    assert decoder_process.run(os.getpid, seconds=10) == first


def test_what_hangs_is_ended_and_said() -> None:
    helper = decoder_process.run(os.getpid, seconds=10)
    begun = time.monotonic()
    with pytest.raises(SoundError, match=TOO_LONG):
        decoder_process.run(time.sleep, 600, seconds=0)
    assert time.monotonic() - begun < 60
    assert not is_there(helper)
    assert decoder_process.run(os.getpid, seconds=10) != helper


@pytest.mark.parametrize("death", [signal.SIGSEGV, signal.SIGKILL], ids=["fault", "no memory"])
def test_what_dies_of_a_file_says_that_it_is_damaged(death: int) -> None:
    with pytest.raises(SoundError, match=DAMAGED):
        decoder_process.run(signal.raise_signal, death, seconds=10)
    assert decoder_process.run(abs, -3, seconds=10) == 3


def test_errors_come_back_as_they_are() -> None:
    with pytest.raises(ValueError, match="invalid literal") as raised:
        decoder_process.run(int, "three", seconds=10)
    assert "Traceback" in raised.value.__notes__[0]


def test_a_helper_whose_server_is_gone_ends_by_itself() -> None:
    helper = decoder_process.run(os.getpid, seconds=10)
    line: Any = apart._idle.pop()._line  # as if the server had died: its end closes
    line.close()
    for _ in range(600):
        try:
            if os.waitpid(helper, os.WNOHANG)[0]:
                break
        except ChildProcessError:
            break
        time.sleep(0.1)
    assert not is_there(helper)


def test_a_sound_that_hangs_its_reader_is_refused(tmp_path: Path) -> None:
    """A pipe that nobody writes to: opening it never comes back."""
    os.mkfifo(tmp_path / "take.wav")
    with pytest.raises(SoundError, match="takes too long"):
        decoder_process.run(hear, tmp_path / "take.wav", longest_s=60, within_s=0.1, seconds=0.1)
    (tmp_path / "good.wav").write_bytes(wav(0.5))
    found, heard = decoder_process.run(
        hear, tmp_path / "good.wav", longest_s=60, within_s=60, seconds=60
    )
    assert (found.channels, heard.frames) == (1, 24_000)
