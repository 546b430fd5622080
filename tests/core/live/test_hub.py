"""A waker that fails leaves a line in the log, and whoever watches is woken all the same."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import pytest

from core.live.hub import Hub


def test_a_failure_is_logged_and_waiting_starts_anew(caplog: pytest.LogCaptureFixture) -> None:
    tries: list[int] = []

    async def waker(wake: Callable[[str | None], None]) -> None:
        tries.append(1)
        if len(tries) == 1:
            raise OSError("the database went away")
        wake("rig")
        await asyncio.Event().wait()

    async def watch() -> None:
        with Hub().watch("rig", waker) as event:
            for _ in range(2):
                await asyncio.wait_for(event.wait(), 30)
                event.clear()

    asyncio.run(watch())
    assert len(tries) == 2
    (record,) = [each for each in caplog.records if each.name == "core.live.hub"]
    assert record.levelname == "ERROR"
    assert record.exc_info is not None
    assert str(record.exc_info[1]) == "the database went away"
