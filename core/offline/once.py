"""A form sent with a key is carried out once, however often it arrives.

The key is in the header `Idempotency-Key` or, of a form that no script sends, in its hidden field
`request_key`: a browser that got no answer repeats a request by itself, with all it holds. A page
may also be gone back to and its form sent anew with something else typed: that is another request.

The header is that of the IETF's draft-ietf-httpapi-idempotency-key-header (a draft, no standard):
a string of structured fields, in quotes. The key is claimed, the view runs and the claim is
completed in one transaction, so that a process killed in the middle leaves neither. A request
that comes with the same key meanwhile waits for that transaction and gets its answer.

What takes long is not carried out inside a transaction (`long_running`): its answer is remembered
afterwards, and the same content twice must make one record by itself.

A request counts as done when its answer is a redirect. A form that comes back with errors is not
done: nothing of it stays, and the same key may be used again.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar
from uuid import uuid4

from django.contrib import messages
from django.contrib.messages.storage.base import Message
from django.core.exceptions import BadRequest
from django.db import IntegrityError, OperationalError, connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.http.response import HttpResponseRedirectBase
from django.shortcuts import redirect
from django.utils.html import format_html
from django.utils.translation import gettext

from core import clock
from core.access.views import brings_form
from core.models import DoneRequest
from core.moments import moment_of, written_as

HEADER = "Idempotency-Key"
KEY = re.compile(r'"([A-Za-z0-9._~-]{8,64})"')
FIELD = "request_key"
NOT_PART_OF_IT = ("csrfmiddlewaretoken", FIELD)  # differ each time a form is sent
PATIENCE_S = 10  # how long a second attempt waits for the first on PostgreSQL; settings for SQLite

Act = Callable[[], HttpResponseBase]
View = TypeVar("View", bound=Callable[..., Any])


def long_running(view: View) -> View:
    """For a view that takes seconds over files, and whose service answers the same content for the
    same thing with the record that is there; or that sends mail, once its service has put on record
    what the mail is about. No transaction is held open meanwhile, and none is rolled back after a
    mail went out."""
    view.is_long_running = True  # type: ignore[attr-defined]
    return view


def not_remembered(view: View) -> View:
    """For a view that counts what was tried in vain, which would go with a form that is refused; or
    that is sent a password, of which no quick digest may be kept. Carried out each time it comes.

    Stands above the declaration of who may call the view.
    """
    view.is_not_remembered = True  # type: ignore[attr-defined]
    return view


def before_transaction(step: Callable[[HttpRequest], None]) -> Callable[[View], View]:
    """For a view whose `step` takes seconds over files and writes nothing: carried out before the
    transaction begins, so that nobody waits for it. Carried out twice, it does no more.

    Stands below `production_view`, so that the step is for members who may do it and for nobody
    else.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def prepared(request: HttpRequest, *args: Any, **more: Any) -> Any:
            step(request)
            return view(request, *args, **more)

        prepared.step_before = step  # type: ignore[attr-defined]
        return prepared  # type: ignore[return-value]

    return decorate


def new_key() -> str:
    """The key of the forms of one page, as a hidden field."""
    return format_html('<input type="hidden" name="{}" value="{}">', FIELD, uuid4())


class OnceMiddleware:
    """Carry out a form with a key once. Stands after every middleware that may refuse a request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        request.begun_at = clock.now()  # type: ignore[attr-defined]  # core.moments
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        # GET and HEAD are safe to repeat by themselves (RFC 9110, 9.2.2).
        if not brings_form(request, view) or getattr(view, "is_not_remembered", False):
            return None
        header, field = request.headers.get(HEADER), request.POST.get(FIELD)
        if header is None and field is None:
            return None
        # A key is one person's: without a person there is nobody to remember it for. Forms of
        # public pages, such as the log-in, go on without.
        if not request.user.is_authenticated:
            if header is None or getattr(view, "access", None) == "public":
                return None
            return _refusal("signed_out", gettext("Log in, then send it once more."), 401)
        # The hidden field has no quotes; put in, it is held to the same rule as the header.
        match = KEY.fullmatch(f'"{field}"' if header is None else header)
        if match is None:
            raise BadRequest(
                gettext("{header} is a string in quotes, of 8 to 64 letters, digits and -.").format(
                    header=HEADER
                )
            )
        digest = digest_of(request)
        key = match[1] if header is not None else _key_for(match[1], digest)
        # Before the transaction and before the claim: what takes seconds would hold the lock for as
        # long.
        if step := getattr(view, "step_before", None):
            view.admit(request, kwargs["production"])
            step(request)
        carry_out = after if getattr(view, "is_long_running", False) else once
        with written_as(moment_of(request)):
            return carry_out(request, key, digest, lambda: view(request, *args, **kwargs))


def _key_for(page: str, digest: str) -> str:
    """The key of a form that carries the key of its page: another one for other content."""
    return hashlib.sha256(f"{page} {digest}".encode()).hexdigest()


def after(request: Any, key: str, digest: str, act: Act) -> HttpResponseBase:
    """As `once`, for what takes long: carried out first, remembered then."""
    if done := DoneRequest.objects.filter(user=request.user, key=key).first():
        return _again(request, done, digest)
    unread = waiting(request)
    response = act()
    if not _is_done(response, _new_errors(request, unread)):
        return _as_asked(request, response, unread)
    location = response.headers["Location"]
    # Two of the same may end at once; the record that they made is the same one (see
    # `long_running`).
    DoneRequest.objects.get_or_create(
        user=request.user, key=key, defaults={"digest": digest, "location": location}
    )
    return _as_asked(request, response, unread, location)


def once(request: Any, key: str, digest: str, act: Act) -> HttpResponseBase:
    """What `act` answers, or what it answered before under this key of this person.

    409 where the first attempt is still running, 422 where the key stands for another request.
    """
    # Which statement failed decides: before the claim it was the wait for another request, after it
    # the view itself.
    claimed, unread = False, waiting(request)
    try:
        with transaction.atomic():
            claim, is_new = claim_key(request, key, digest)
            claimed = True
            if not is_new:
                return _again(request, claim, digest)
            response = act()
            if not _is_done(response, _new_errors(request, unread)):
                # The claim goes with it, so that the corrected form may use the same key.
                transaction.set_rollback(True)
                return _as_asked(request, response, unread)
            claim.location = response.headers["Location"]
            claim.save(update_fields=["location"])
    except OperationalError:
        if claimed:
            raise
        return _refusal(
            "still_running", gettext("This is being carried out. Ask again in a moment."), 409
        )
    return _as_asked(request, response, unread, claim.location)


def claim_key(request: Any, key: str, digest: str) -> tuple[DoneRequest, bool]:
    """The row of that key and whether it is new. Waits for whoever is carrying it out."""
    _wait_at_most(f"'{PATIENCE_S}s'")
    try:
        # A savepoint: on PostgreSQL a failed insert would otherwise spoil the whole transaction.
        with transaction.atomic():
            return DoneRequest.objects.create(user=request.user, key=key, digest=digest), True
    except IntegrityError:
        return DoneRequest.objects.get(user=request.user, key=key), False
    finally:
        _wait_at_most("DEFAULT")


def _wait_at_most(limit: str) -> None:
    # SQLite has one writer and waits at BEGIN IMMEDIATE, by the timeout in the settings.
    if connection.vendor == "postgresql" and not connection.needs_rollback:
        with connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL lock_timeout = {limit}")


def _again(request: HttpRequest, done: DoneRequest, digest: str) -> HttpResponseBase:
    # 422 as the draft has it for a key that comes back with another request.
    if done.digest != digest:
        return _refusal(
            "other_request",
            gettext("This {header} was used for something else.").format(header=HEADER),
            422,
        )
    return _as_asked(request, redirect(done.location), waiting(request), done.location)


def _is_done(response: HttpResponseBase, has_new_errors: bool) -> bool:
    """Whether the answer is a redirect that added no error message; with one, it has refused."""
    return isinstance(response, HttpResponseRedirectBase) and not has_new_errors


def waiting(request: HttpRequest) -> list[Message]:
    """The messages that wait for the next page, those of earlier requests first: nobody may have
    opened a page since. Looking at them does not count as showing them."""
    queue: Any = messages.get_messages(request)
    waiting = list(queue)
    for message in waiting:
        # Whatever was looked at is stored as it stands, and what is translated later cannot be.
        message.message = str(message.message)
    queue.used = False
    return waiting


def _new_errors(request: HttpRequest, unread: list[Message]) -> bool:
    return worst_told(request, unread) >= messages.ERROR


def worst_told(request: HttpRequest, unread: list[Message]) -> int:
    """The highest level of the messages that came to the `unread` ones; 0 without any."""
    return max((message.level for message in waiting(request)[len(unread) :]), default=0)


def _messages_now(request: HttpRequest, unread: list[Message]) -> list[str]:
    """What this request said. What waited before it goes on waiting for the next page."""
    new = list(messages.get_messages(request))[len(unread) :]
    for message in unread:  # all are taken out by being read
        messages.add_message(request, message.level, message.message, message.extra_tags)
    return [str(message) for message in new]


def _as_asked(
    request: HttpRequest, response: HttpResponseBase, unread: list[Message], location: str = ""
) -> HttpResponseBase:
    """The response as it is, or in JSON for a program that cannot see where a redirect leads."""
    if request.headers.get("Accept") != "application/json":
        return response
    if not location and not isinstance(response, HttpResponseRedirectBase):
        return response
    answer: dict[str, Any] = {"done": bool(location), "location": location}
    # RFC 7240: who goes on to that page by itself reads there what is told.
    if not (location and request.headers.get("Prefer") == "return=minimal"):
        # Taken out of the queue by being read, so that the next page does not say them again.
        answer["told"] = _messages_now(request, unread)
    return JsonResponse(answer, status=200 if location else 409)


def _refusal(code: str, detail: str, status: int) -> HttpResponse:
    response = JsonResponse({"code": code, "detail": detail}, status=status)
    if status == 409:
        response.headers["Retry-After"] = "5"
    return response


def digest_of(request: HttpRequest) -> str:
    """SHA-256 of the address and of all fields and files in their order."""
    digest = hashlib.sha256(request.get_full_path().encode())
    for name, values in request.POST.lists():
        if name not in NOT_PART_OF_IT:
            # repr keeps names and values apart: joined texts could be cut in two ways.
            digest.update(repr((name, values)).encode())
    for name, files in request.FILES.lists():
        for file in files:
            digest.update(repr((name, file.name)).encode())
            for chunk in file.chunks():
                digest.update(chunk)
            # The view reads the file after this.
            file.seek(0)
    return digest.hexdigest()
