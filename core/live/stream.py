"""One open page: an endless response of server-sent events (WHATWG HTML, “Server-sent events”)."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from importlib import import_module
from types import SimpleNamespace
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.handlers.asgi import ASGIRequest
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

from core.access.loaders import load_member
from core.live import presence
from core.live.hub import hub
from core.live.looking import look
from core.live.wakers import waker
from core.models import User
from core.operation import figures
from core.sign_in.person import person_of

# A telephone that dies says nothing, and what stands between may take in beats for long after. So
# a stream ends now and then: a page that is still there asks again, at once.
LIFE_S = 120.0
ASK_AGAIN_MS = 500
RETRY_MS = 3000


@dataclass(frozen=True, slots=True)
class News:
    """One thing that changed: its number, larger than all before, and what the page is told."""

    number: int
    data: dict[str, Any]


@dataclass(slots=True)
class Watch:
    """What one page watches. `news(number)` gives what came after that number, oldest first;
    `session` is the key of the log-in that the page was opened under."""

    topic: str
    production: UUID
    user: User
    since: int
    news: Callable[[int], list[News]]
    session: str
    people: list[str] | None = None  # None: the page has not been told yet
    presence: UUID | None = None


def live_response(request: HttpRequest, watch: Watch) -> HttpResponseBase:
    """The stream; under WSGI, which could only block a worker, 204: a browser then asks no more."""
    if not isinstance(request, ASGIRequest):
        return HttpResponse(status=204)
    # Compression collects bytes before it sends any, and events would wait in it.
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    response = StreamingHttpResponse(events(watch), content_type="text/event-stream; charset=utf-8")
    response["Cache-Control"] = "no-store"
    response["X-Accel-Buffering"] = "no"  # for a proxy in front that would hold it back, too
    return response


async def events(
    watch: Watch, beat_s: float = presence.BEAT_S, life_s: float = LIFE_S
) -> AsyncIterator[str]:
    """Yield the events of a page, as text of the protocol.

    They end when the page closes, or when the person logs out or leaves the production. They end
    when `life_s` seconds are over or the process is told to stop, too; then the page asks again.
    """
    clock = asyncio.get_running_loop().time
    end, returns, beats = clock() + life_s, False, False
    with figures.stream_open(), hub.watch(watch.topic, waker()) as woken:
        try:
            yield f"retry: {RETRY_MS}\n\n"
            while True:
                # Before looking, not after: news that comes while the page is looked up must wake
                # the next round.
                woken.clear()
                lines = await look(_look, watch, beats)
                if lines is None:
                    return
                for words in lines:
                    yield words
                left = end - clock()
                if left <= 0 or hub.is_ending:
                    yield f"retry: {ASK_AGAIN_MS}\n\n"
                    returns = True
                    return
                beats = False
                try:
                    await asyncio.wait_for(woken.wait(), min(beat_s, left))
                except TimeoutError:
                    beats = True
                    yield ": still here\n\n"  # also shows the server that a page has gone
        finally:
            if watch.presence:
                # A closed page cancels this task; leaving has to be written down all the same.
                await asyncio.shield(look(_leave, watch, returns))


def _look(watch: Watch, beats: bool) -> list[str] | None:
    """The events that are new to the page, in three or four queries, one more if it `beats`.

    None where whoever opened the page may not see it any more.
    """
    try:
        if not _is_signed_in(watch):
            return None
        # At every look: roles may have been taken away since the page was opened.
        load_member(watch.user, watch.production)
        if watch.presence is None:
            watch.presence = presence.arrive(watch.topic, watch.user)
        elif beats:
            presence.beat(watch.presence)
        lines = [_event("change", n.data, n.number) for n in _news(watch)]
        people = presence.others(watch.topic, watch.user)
        # Only when it is another list: beats of others would wake every page.
        if people != watch.people:
            watch.people = people
            lines.append(_event("people", {"names": people}))
    except Http404:
        return None
    return lines


def _is_signed_in(watch: Watch) -> bool:
    """Whether the log-in still holds: not after logging out, nor after a new password."""
    # Read from the database each time: the session of the request is what it was at the opening.
    store = import_module(settings.SESSION_ENGINE).SessionStore(watch.session)
    return bool(person_of(SimpleNamespace(session=store)) == watch.user)


def _news(watch: Watch) -> list[News]:
    news = watch.news(watch.since)
    if news:
        watch.since = news[-1].number
    return news


def _leave(watch: Watch, returns: bool) -> None:
    assert watch.presence is not None  # noqa: S101 - asked for by the caller
    if returns:
        presence.linger(watch.presence)
    else:
        presence.leave(watch.presence, watch.topic, watch.user)


def _event(name: str, data: dict[str, Any], number: int | None = None) -> str:
    """One event of the protocol. JSON holds no line breaks, so one line of data is enough."""
    place = f"id: {number}\n" if number is not None else ""
    return f"{place}event: {name}\ndata: {json.dumps(data)}\n\n"
