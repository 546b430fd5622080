"""A number for each request, and a line in the log when it is answered.

The line names the pattern of the address (“/p/<uuid:production>/rigs/”), never the address itself:
an address may hold the secret of a link or the words of a search.
"""

from __future__ import annotations

import logging
import re
import time
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.db import connection
from django.http import HttpRequest, HttpResponseBase

from core.operation import figures
from core.operation.serving import arrived

HEADER = "X-Request-ID"
_TAKEN = re.compile(r"[A-Za-z0-9._-]{8,64}")  # from a proxy in front that numbers requests itself
log = logging.getLogger("toneledger.requests")
request_id: ContextVar[str] = ContextVar("request_id", default="")


class Queries:
    """Counts and times the queries of one request; the wrapper Django calls around each of them."""

    def __init__(self) -> None:
        self.count, self.seconds = 0, 0.0

    def __call__(
        self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any
    ) -> Any:
        self.count += 1
        began = time.perf_counter()
        try:
            return execute(sql, params, many, context)
        finally:
            self.seconds += time.perf_counter() - began


class RequestsMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        given = request.headers.get(HEADER, "")
        number = given if _TAKEN.fullmatch(given) else uuid.uuid4().hex
        token = request_id.set(number)
        began, queries = time.perf_counter(), Queries()
        if waited_since := arrived.get():
            figures.request_queued(began - waited_since)
        try:
            with figures.request_in_progress(), connection.execute_wrapper(queries):
                response = self.get_response(request)
            response.headers[HEADER] = number
            _tell(request, response.status_code, time.perf_counter() - began, queries)
        finally:
            request_id.reset(token)
        return response


def route_of(request: HttpRequest) -> str:
    """The pattern that the address fits; empty where there is no such page."""
    match = request.resolver_match
    return f"/{match.route}" if match else ""


def _tell(request: HttpRequest, status: int, seconds: float, queries: Queries) -> None:
    route = route_of(request)
    figures.request_answered(request, route, status, seconds, queries.count, queries.seconds)
    told = {
        "method": request.method,
        "route": route,
        "status": status,
        "ms": round(seconds * 1000, 1),
        "queries": queries.count,
    }
    log.info("%(method)s %(route)s %(status)s", told, extra={"told": told})
