"""Streams end when their process is told to stop: pages ask the next one at once.

Without this the server would wait for them as long as it waits for anything.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable
from types import FrameType

SIGNALS = (signal.SIGTERM, signal.SIGINT)


def when_told_to_stop(act: Callable[[], None]) -> None:
    """Call `act` in the main thread before whatever the server itself does then.

    Nothing is done where no server has set anything up: it is not ours to keep a process alive.
    """
    if threading.current_thread() is not threading.main_thread():
        return
    for each in SIGNALS:
        before = signal.getsignal(each)
        if not callable(before) or before is signal.default_int_handler:
            continue
        if getattr(before, "ends_streams", False):
            continue
        signal.signal(each, _first(act, before))


def _first(
    act: Callable[[], None], then: Callable[[int, FrameType | None], object]
) -> Callable[[int, FrameType | None], None]:
    def told(number: int, frame: FrameType | None) -> None:
        act()
        then(number, frame)

    told.ends_streams = True  # type: ignore[attr-defined]
    return told
