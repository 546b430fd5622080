"""Addresses for programs that watch the service, answered before anything else.

    GET /healthz   this process answers
    GET /readyz    it can serve: database, migrations, triggers, storage; 503 where one is missing
    GET /metrics   figures of what it did, for who sends the secret; no such page without one

Before host names are looked at and before HTTPS is asked for, because a load balancer calls by
number and without it. The first two tell nothing that a stranger may not know.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse

from core.operation import figures
from core.operation.health import readiness

METHODS = ("GET", "HEAD")


class ProbesMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.method in METHODS and request.path_info == "/healthz":
            return _fresh(HttpResponse("ok\n", content_type="text/plain; charset=utf-8"))
        if request.method in METHODS and request.path_info == "/readyz":
            found = readiness()
            told = {name: "ok" if is_ready else "failed" for name, is_ready in found.items()}
            return _fresh(JsonResponse(told, status=200 if all(found.values()) else 503))
        if request.method in METHODS and request.path_info == "/metrics" and settings.METRICS_TOKEN:
            return _fresh(_figures(request))
        return self.get_response(request)


def _figures(request: HttpRequest) -> HttpResponse:
    given = request.headers.get("Authorization", "").encode()
    # RFC 6750, section 2.1; compared in the same time whatever of it is right.
    if not secrets.compare_digest(given, f"Bearer {settings.METRICS_TOKEN}".encode()):
        return HttpResponse(status=401, headers={"WWW-Authenticate": "Bearer"})
    return HttpResponse(figures.exposition(), content_type=figures.CONTENT_TYPE)


def _fresh(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = "no-store"
    # No middleware that comes later says these.
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = "default-src 'none'; frame-ancestors 'none'"
    return response
