"""A device remembers that the word of a link was typed on it, until the link ends."""

from __future__ import annotations

import hashlib

from django.http import HttpRequest, HttpResponseBase
from django.utils.crypto import constant_time_compare

from core import clock
from core.models import GuestLink

NAME = "guest"


def knows_word(request: HttpRequest, link: GuestLink) -> bool:
    """Whether nothing is asked for, or the device has said it."""
    if not link.code:
        return True
    held = request.get_signed_cookie(NAME, default="", salt=_salt(link))
    return constant_time_compare(held or "", _mark(link))


def remember(response: HttpResponseBase, request: HttpRequest, link: GuestLink, home: str) -> None:
    """Of this link only: the cookie goes to no other address."""
    left = int((link.expires_at - clock.now()).total_seconds())
    response.set_signed_cookie(
        NAME,
        _mark(link),
        salt=_salt(link),
        max_age=max(left, 0),
        path=home,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
    )


def _salt(link: GuestLink) -> str:
    return f"core.guests {link.pk}"


def _mark(link: GuestLink) -> str:
    # Of what is stored of the word, so that another word is asked for anew.
    return hashlib.sha256(link.code.encode()).hexdigest()
