"""Django's ASGI handler for streams: few are opened at once, and none keeps a connection."""

from __future__ import annotations

import asyncio

from asgiref.sync import sync_to_async
from django.core.handlers.asgi import ASGIHandler
from django.db import connections
from django.http import HttpRequest
from django.http.response import HttpResponseBase

AT_ONCE = 4


class Streams(ASGIHandler):
    """Each request has a thread and in it a connection of its own. When a service comes back all
    pages ask at once: they wait here, instead of being turned away by the database."""

    def __init__(self) -> None:
        super().__init__()
        self._places = asyncio.Semaphore(AT_ONCE)

    async def get_response_async(self, request: HttpRequest) -> HttpResponseBase:
        async with self._places:
            answer = await super().get_response_async(request)
            await sync_to_async(connections.close_all)()  # in the thread of the request
            return answer
