"""Make, look at, and spend one-time links.

Looking is a GET and changes nothing (mail scanners follow links); spending is a POST and happens
exactly once, however many requests race for it.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from core import clock
from core.models import OneTimeLink, Production, User
from core.sign_in import notices


class LinkClosed(Exception):
    """The link was used, withdrawn, has expired, or never was."""

    def __init__(self, told: str = "") -> None:
        super().__init__(
            told or _("This link is closed: it was used, withdrawn, or its time ran out.")
        )


def make_link(
    *,
    production: Production,
    purpose: OneTimeLink.Purpose,
    details: dict[str, Any],
    made_by: User,
    days: int,
    language: str = "",
) -> tuple[OneTimeLink, str]:
    """The link and its token. The token is not kept and cannot be shown again.

    `language` is the one its page is read in; empty, the browser decides.
    """
    token = new_token()
    link = OneTimeLink.objects.create(
        production=production,
        purpose=purpose,
        digest=digest_of(token),
        details=details,
        language=language,
        made_by=made_by,
        expires_at=clock.now() + timedelta(days=days),
    )
    notices.link_made(link)
    return link, token


def look_up(token: str, purpose: OneTimeLink.Purpose) -> OneTimeLink:
    """The open link of that token. Raises LinkClosed."""
    link = (
        OneTimeLink.objects.select_related("production", "made_by")
        .filter(digest=digest_of(token), purpose=purpose)
        .first()
    )
    if link is None or not link.is_open:
        raise LinkClosed
    return link


def look_up_used(token: str, purpose: OneTimeLink.Purpose) -> OneTimeLink:
    """The link of that token after it was used, until its time is over. Raises LinkClosed."""
    found = OneTimeLink.objects.filter(digest=digest_of(token), purpose=purpose, withdrawn_at=None)
    link = found.filter(expires_at__gt=clock.now()).exclude(used_at=None).first()
    if link is None:
        raise LinkClosed
    return link


def still_open(of: str = "", at: datetime | None = None) -> Q:
    """Of rows with a link those whose link is open, now or `at`; `of` leads to it: “link__”."""
    untouched = Q((f"{of}used_at", None), (f"{of}withdrawn_at", None))
    return untouched & Q((f"{of}expires_at__gt", at or clock.now()))


def withdraw(links: QuerySet[OneTimeLink]) -> bool:
    """Close those of `links` that nobody used, expired ones too. False if there was none."""
    unused = links.filter(used_at=None, withdrawn_at=None)
    return bool(unused.update(withdrawn_at=clock.now()))


def spend(token: str, purpose: OneTimeLink.Purpose) -> OneTimeLink:
    """Use the link up. Call inside the transaction that does what it is for. Raises LinkClosed."""
    link = look_up(token, purpose)
    now = clock.now()
    # One UPDATE with its conditions: of two requests that race, the database lets one change the
    # row. A check and then a save would let both pass.
    won = OneTimeLink.objects.filter(still_open(), pk=link.pk).update(used_at=now)
    if not won:
        raise LinkClosed(_("This link has just been used."))
    link.used_at = now
    return link


def new_token() -> str:
    # 256 bits from the system’s generator: no use in trying tokens, hence no limit on tries.
    return secrets.token_urlsafe(32)


def digest_of(token: str) -> str:
    """What is kept of the token of a link."""
    # No salt and no slow hash: those protect words people choose, and the token is random.
    return hashlib.sha256(token.encode()).hexdigest()
