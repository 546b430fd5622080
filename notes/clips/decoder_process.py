"""Sounds are read in the process for what somebody sent (`core.uploads.apart`); what goes wrong
there, in words for whoever sent the sound."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, TypeVar

from core.uploads import apart
from notes.clips.decode import DAMAGED, TOO_LONG
from notes.clips.formats import SoundError

T = TypeVar("T")


def _nobody(ended: str, seconds: float) -> None:
    pass


# Told how each job ended (done, refused, too_long, died) and after how long. Plugged in from
# outside: what counts it is no concern of sounds.
told: Callable[[str, float], None] = _nobody


def run(function: Callable[..., T], *args: Any, seconds: float, **more: Any) -> T:
    """What `function` gives, or the error that it raises. All of it must be fit for pickling.

    Raises SoundError where it takes `seconds` and some, or where the process dies of it.
    """
    began, ended = time.perf_counter(), "refused"
    try:
        answer = apart.run(function, *args, seconds=seconds, **more)
        ended = "done"
        return answer
    except apart.TookTooLong:
        ended = "too_long"
        raise SoundError(TOO_LONG) from None
    except apart.Died:
        ended = "died"
        raise SoundError(DAMAGED) from None
    finally:
        told(ended, time.perf_counter() - began)
