"""However many pages are open or ask at once, few of them look at the database at a time."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from django.core.handlers.asgi import ASGIHandler
from django.http import HttpRequest, HttpResponse

from core import clock
from core.live import opening, presence
from core.live.looking import THREADS, look, rest
from rigs.changes.edits import Set
from rigs.open_pages.updates import news_of
from rigs.revisions.record import record
from tests.support.world import World

TOPIC = "rig:x"


class Counted:
    """How many are in here at once, at most."""

    def __init__(self) -> None:
        self.here = self.most = 0
        self._lock = threading.Lock()

    def __enter__(self) -> None:
        with self._lock:
            self.here += 1
            self.most = max(self.most, self.here)

    def __exit__(self, *_: object) -> None:
        with self._lock:
            self.here -= 1


def all_at_once(make: Callable[[], Awaitable[Any]], count: int = 50) -> list[Any]:
    async def gather() -> list[Any]:
        return await asyncio.gather(*(make() for _ in range(count)))

    # Browser tests leave a running loop in the thread of the tests.
    with ThreadPoolExecutor(1) as apart:
        return apart.submit(asyncio.run, gather()).result()


@pytest.mark.django_db(transaction=True)
def test_looks_share_a_few_threads_and_each_is_answered() -> None:
    counted = Counted()

    def slow(number: int) -> int:
        with counted:
            time.sleep(0.01)
            return number * 2

    numbers = iter(range(50))
    assert all_at_once(lambda: look(slow, next(numbers))) == [2 * n for n in range(50)]
    assert counted.most == THREADS
    rest()
    # What was let go is there again for whoever looks next.
    assert all_at_once(lambda: look(slow, 1), count=1) == [2]


def test_few_streams_are_opened_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    counted = Counted()

    async def slow(self: ASGIHandler, request: HttpRequest) -> HttpResponse:
        with counted:
            await asyncio.sleep(0.01)
            return HttpResponse()

    monkeypatch.setattr(ASGIHandler, "get_response_async", slow)
    streams = opening.Streams()
    answers = all_at_once(lambda: streams.get_response_async(HttpRequest()))
    assert {answer.status_code for answer in answers} == {200}
    assert counted.most == opening.AT_ONCE


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    found: list[str] = []
    monkeypatch.setattr(presence, "notify", found.append)
    return found


@pytest.mark.django_db
def test_others_are_told_of_people_and_not_of_their_pages(world: World, told: list[str]) -> None:
    first = presence.arrive(TOPIC, world.tech)
    assert told == [TOPIC]
    second = presence.arrive(TOPIC, world.tech)
    presence.leave(first, TOPIC, world.tech)
    assert told == [TOPIC]
    assert presence.others(TOPIC, world.engineer) == [world.tech.name]
    presence.arrive(TOPIC, world.engineer)
    presence.leave(second, TOPIC, world.tech)
    assert told == [TOPIC] * 3
    assert presence.others(TOPIC, world.engineer) == []


@pytest.mark.django_db
def test_a_page_that_asks_again_tells_nobody_and_a_late_one_does(
    world: World, told: list[str]
) -> None:
    presence.linger(presence.arrive(TOPIC, world.tech))
    again = presence.arrive(TOPIC, world.tech)
    assert told == [TOPIC]
    presence.linger(again)
    with clock.set_to(clock.now() + presence.RETURNING + timedelta(seconds=1)):
        presence.arrive(TOPIC, world.tech)
    assert told == [TOPIC] * 2


@pytest.mark.django_db
def test_a_page_that_knows_all_asks_once(world: World, django_assert_num_queries: Any) -> None:
    rig = world.rig
    with django_assert_num_queries(1):
        assert news_of(rig, rig.head_number) == []
    made = record(
        rig,
        [Set(str(world.control.pk), "control", {"setting": "9"})],
        author=world.tech,
        base=rig.head_number,
    )
    (news,) = news_of(rig, made.number - 1)
    assert (news.number, news.data["who"]) == (made.number, world.tech.name)
    assert news_of(rig, made.number) == []
