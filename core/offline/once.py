"""A form sent with the header `Idempotency-Key` is carried out once, however often it arrives.

The header is that of the IETF's draft-ietf-httpapi-idempotency-key-header (a draft, no standard):
a string of structured fields, in quotes. The key is claimed, the view runs and the claim is
completed in one transaction, so that a process killed in the middle leaves neither. Whoever comes
with the same key meanwhile waits for that transaction and gets its answer.

Done is what leads elsewhere. A form that comes back with errors is not: nothing of it stays, and
the same key may be used again.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.db import IntegrityError, OperationalError, connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.http.response import HttpResponseRedirectBase
from django.shortcuts import redirect

from core import clock
from core.models import DoneRequest
from core.moments import moment_of, written_as

HEADER = "Idempotency-Key"
KEY = re.compile(r'"([A-Za-z0-9._~-]{8,64})"')
NOT_PART_OF_IT = "csrfmiddlewaretoken"  # differs each time a form is sent
PATIENCE_S = 10  # how long a second attempt waits for the first on PostgreSQL; settings for SQLite
# Programs authenticate inside their views, later than this; the API documents its own rules.
PROGRAMS = "/api/"

Act = Callable[[], HttpResponseBase]


class OnceMiddleware:
    """Stands after all that may refuse a request: what was refused was not done."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        request.begun_at = clock.now()  # type: ignore[attr-defined]  # core.moments
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        key = request.headers.get(HEADER)
        if key is None or request.method != "POST" or request.path.startswith(PROGRAMS):
            return None
        if not request.user.is_authenticated:
            if getattr(view, "access", None) == "public":
                return None
            return _refusal("signed_out", "Log in, then send it once more.", 401)
        found = KEY.fullmatch(key)
        if found is None:
            raise BadRequest(f"{HEADER} is a string in quotes, of 8 to 64 letters, digits and -.")
        with written_as(moment_of(request)):
            return once(request, found[1], lambda: view(request, *args, **kwargs))


def once(request: Any, key: str, act: Act) -> HttpResponseBase:
    """What `act` answers, or what it answered before under this key of this person."""
    digest, claimed = digest_of(request), False
    try:
        with transaction.atomic():
            claim, is_new = _claim(request, key, digest)
            claimed = True
            if not is_new:
                return _again(request, claim, digest)
            response = act()
            if not _is_done(request, response):
                transaction.set_rollback(True)
                return _as_asked(request, response)
            claim.location = response.headers["Location"]
            claim.save(update_fields=["location"])
    except OperationalError:
        if claimed:
            raise
        return _refusal("still_running", "This is being carried out. Ask again in a moment.", 409)
    return _as_asked(request, response, claim.location)


def _claim(request: Any, key: str, digest: str) -> tuple[DoneRequest, bool]:
    """The row of that key and whether it is new. Waits for whoever is carrying it out."""
    _wait_at_most(f"'{PATIENCE_S}s'")
    try:
        with transaction.atomic():
            return DoneRequest.objects.create(user=request.user, key=key, digest=digest), True
    except IntegrityError:
        return DoneRequest.objects.get(user=request.user, key=key), False
    finally:
        _wait_at_most("DEFAULT")


def _wait_at_most(limit: str) -> None:
    if connection.vendor == "postgresql" and not connection.needs_rollback:
        with connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL lock_timeout = {limit}")


def _again(request: HttpRequest, done: DoneRequest, digest: str) -> HttpResponseBase:
    if done.digest != digest:
        return _refusal("other_request", f"This {HEADER} was used for something else.", 422)
    return _as_asked(request, redirect(done.location), done.location)


def _is_done(request: HttpRequest, response: HttpResponseBase) -> bool:
    """A page that leads elsewhere with an error on its lips has refused, too."""
    told: Any = messages.get_messages(request)
    refused = any(message.level >= messages.ERROR for message in told)
    told.used = False  # looked at, not shown
    return isinstance(response, HttpResponseRedirectBase) and not refused


def _as_asked(
    request: HttpRequest, response: HttpResponseBase, location: str = ""
) -> HttpResponseBase:
    """As it is; for a program that cannot see where a redirect leads, in JSON."""
    if request.headers.get("Accept") != "application/json":
        return response
    if not location and not isinstance(response, HttpResponseRedirectBase):
        return response
    told = [str(message) for message in messages.get_messages(request)]
    answer = {"done": bool(location), "location": location, "told": told}
    return JsonResponse(answer, status=200 if location else 409)


def _refusal(code: str, detail: str, status: int) -> HttpResponse:
    response = JsonResponse({"code": code, "detail": detail}, status=status)
    if status == 409:
        response.headers["Retry-After"] = "5"
    return response


def digest_of(request: HttpRequest) -> str:
    """SHA-256 of the address and of all fields and files in their order."""
    found = hashlib.sha256(request.get_full_path().encode())
    for name, values in request.POST.lists():
        if name != NOT_PART_OF_IT:
            found.update(repr((name, values)).encode())
    for name, files in request.FILES.lists():
        for file in files:
            found.update(repr((name, file.name)).encode())
            for chunk in file.chunks():
                found.update(chunk)
            file.seek(0)
    return found.hexdigest()
