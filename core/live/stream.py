"""One open page: an endless response of server-sent events (WHATWG HTML, “Server-sent events”)."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from asgiref.sync import sync_to_async
from django.core.handlers.asgi import ASGIRequest
from django.db import connection
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

from core.access.loaders import load_member
from core.live import presence
from core.live.hub import hub
from core.live.wakers import waker
from core.models import User


@dataclass(frozen=True, slots=True)
class News:
    """One thing that changed: its number, larger than all before, and what the page is told."""

    number: int
    told: dict[str, Any]


@dataclass(slots=True)
class Watch:
    """What one page watches. `news(number)` gives what came after that number, oldest first."""

    topic: str
    production: UUID
    user: User
    since: int
    news: Callable[[int], list[News]]
    people: list[str] = field(default_factory=list)
    presence: UUID | None = None


def live_response(request: HttpRequest, watch: Watch) -> HttpResponseBase:
    """The stream; under WSGI, which could only block a worker, 204: a browser then asks no more."""
    if not isinstance(request, ASGIRequest):
        return HttpResponse(status=204)
    # A stream that is packed is a stream that is held back.
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    response = StreamingHttpResponse(events(watch), content_type="text/event-stream")
    response["Cache-Control"] = "no-store"
    response["X-Accel-Buffering"] = "no"  # for a proxy in front that would hold it back, too
    return response


async def events(watch: Watch, beat_s: float = presence.BEAT_S) -> AsyncIterator[str]:
    """Until the page closes, or the person is no longer of the production."""
    with hub.watch(watch.topic, waker()) as woken:
        try:
            yield "retry: 3000\n\n"
            while True:
                woken.clear()
                told = await sync_to_async(_look)(watch)
                if told is None:
                    return
                for words in told:
                    yield words
                try:
                    await asyncio.wait_for(woken.wait(), beat_s)
                except TimeoutError:
                    yield ": still here\n\n"  # also shows the server that a page has gone
                    await sync_to_async(_beat)(watch)
        finally:
            if watch.presence:
                await asyncio.shield(sync_to_async(_leave)(watch))


def _look(watch: Watch) -> list[str] | None:
    """The events that are new to the page; None where it may see no more. Two or three queries."""
    try:
        load_member(watch.user, watch.production)
        if watch.presence is None:
            watch.presence = presence.arrive(watch.topic, watch.user)
        found = [_event("change", n.told, n.number) for n in _news(watch)]
        people = presence.others(watch.topic, watch.user)
        if people != watch.people:
            watch.people = people
            found.append(_event("people", {"names": people}))
    except Http404:
        return None
    finally:
        connection.close()  # a page that stays open holds no connection
    return found


def _news(watch: Watch) -> list[News]:
    found = watch.news(watch.since)
    if found:
        watch.since = found[-1].number
    return found


def _beat(watch: Watch) -> None:
    assert watch.presence is not None  # noqa: S101 - nothing beats before it has arrived
    presence.beat(watch.presence)
    connection.close()


def _leave(watch: Watch) -> None:
    assert watch.presence is not None  # noqa: S101 - asked for by the caller
    presence.leave(watch.presence, watch.topic)
    connection.close()


def _event(name: str, told: dict[str, Any], number: int | None = None) -> str:
    """JSON has no line breaks of its own, so that one line of data is enough."""
    place = f"id: {number}\n" if number is not None else ""
    return f"{place}event: {name}\ndata: {json.dumps(told)}\n\n"
