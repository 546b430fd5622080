"""The streams that are open in this process, by topic, and what wakes them."""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager

from core.live.ending import when_told_to_stop
from core.live.looking import rest

logger = logging.getLogger(__name__)

# Runs while anybody watches; calls its argument with the topic that is new, or with None for all.
Waker = Callable[[Callable[[str | None], None]], Awaitable[None]]


class Hub:
    """The open streams of this process, all of them in one event loop at a time."""

    def __init__(self) -> None:
        self._woken: dict[str, set[asyncio.Event]] = defaultdict(set)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._task: asyncio.Task[None] | None = None
        self.is_ending = False  # the process was told to stop: streams say so and end

    @contextmanager
    def watch(self, topic: str, waker: Waker) -> Iterator[asyncio.Event]:
        """An event that is set whenever `topic` has news. The first to watch starts `waker`."""
        event = asyncio.Event()
        self._woken[topic].add(event)
        self._start(waker)
        try:
            yield event
        finally:
            self._woken[topic].discard(event)
            if not self._woken[topic]:
                del self._woken[topic]
            self._stop_if_idle()

    def wake(self, topic: str | None) -> None:
        """Wake the streams of `topic`, or all of them for None, in the thread of the loop."""
        topics = [topic] if topic is not None else list(self._woken)
        for each in topics:
            # get, because indexing a defaultdict would keep every topic that was ever woken.
            for event in self._woken.get(each, ()):
                event.set()

    def wake_from_thread(self, topic: str) -> None:
        """Wake the streams of `topic` from a thread that serves a page."""
        if self._loop is not None and not self._loop.is_closed():
            # asyncio.Event is not safe to set from another thread.
            self._loop.call_soon_threadsafe(self.wake, topic)

    def end(self) -> None:
        """End all streams soon. From any thread, or from a handler of a signal."""
        self.is_ending = True
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self.wake, None)

    def end_when_told_to_stop(self) -> None:
        """In the main thread, after the server has set up what it does itself at a signal."""
        when_told_to_stop(self.end)

    def _start(self, waker: Waker) -> None:
        loop = asyncio.get_running_loop()
        # Another loop: tests and reloading servers make a new one in the same process.
        if self._task is None or self._task.done() or self._loop is not loop:
            self._loop = loop
            self._task = loop.create_task(_forever(waker, self.wake))
            self.end_when_told_to_stop()  # here for servers that tell nothing of their beginning

    def _stop_if_idle(self) -> None:
        if not self._woken and self._task is not None:
            self._task.cancel()
            self._task = None
            rest()


async def _forever(waker: Waker, wake: Callable[[str | None], None]) -> None:
    """Run `waker`, and start it anew when it fails, as it does when the database goes away."""
    while True:
        try:
            await waker(wake)
        except asyncio.CancelledError:
            raise
        except Exception:
            logger.exception("Waiting for what other processes wrote failed; it starts anew")
        # Whatever came while nobody listened has to be looked for.
        wake(None)
        # A database that is down fails at once: without the pause this would spin.
        await asyncio.sleep(1)


hub = Hub()
