"""The device somebody comes with: what it is in plain words, and whether they came with it before.

It is known by a cookie that says nothing but a random number. No address is kept, and of what the
browser says of itself nothing but the words.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.utils.translation import gettext_noop

from core import clock
from core.models import KnownDevice, User

COOKIE = "device"
LASTS_S = 60 * 60 * 24 * 400  # the longest that browsers keep one (RFC 6265bis, a draft)
# Kept as they are, in English, and translated where they are shown.
PHONE = gettext_noop("phone")
COMPUTER = gettext_noop("computer or tablet")
PROGRAM = gettext_noop("program")
_TOKEN = re.compile(r"[\w-]{43}")


def in_words(request: HttpRequest) -> str:
    """“phone”, “computer or tablet” or “program”.

    Anything may stand in the header (RFC 9110, section 10.1.5): it is for people to recognise a
    device by, and nothing is decided by it.
    """
    said = request.headers.get("User-Agent", "")
    if request.headers.get("Sec-CH-UA-Mobile") == "?1" or re.search(r"\bMobile\b", said):
        return PHONE
    return COMPUTER if said.startswith("Mozilla/") else PROGRAM


def is_known(request: HttpRequest, user: User) -> bool:
    token = request.COOKIES.get(COOKIE, "")
    return bool(token) and KnownDevice.objects.filter(user=user, digest=_digest(token)).exists()


def remember(request: Any, user: User) -> None:
    """Know this device from now on; a cookie goes out with the answer (`CameInMiddleware`)."""
    token = request.COOKIES.get(COOKIE, "")
    if not _TOKEN.fullmatch(token):
        token = secrets.token_urlsafe(32)
    request.device_token = token
    KnownDevice.objects.update_or_create(
        user=user, digest=_digest(token), defaults={"used_at": clock.now()}
    )


def give_cookie(response: HttpResponseBase, token: str) -> None:
    response.set_cookie(
        COOKIE,
        token,
        max_age=LASTS_S,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
