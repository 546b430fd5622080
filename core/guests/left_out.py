"""What is left out of everything that a guest gets, be it a page, a print or a file: the e-mail
addresses that people typed into texts.

The one rule for it. What makes a page, a sheet or a file passes its texts through `given_out` at
the last moment, and need not know who reads.
"""

from __future__ import annotations

import re
from contextlib import AbstractContextManager
from contextvars import ContextVar
from typing import TypeVar, cast

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from core.holding import holding

T = TypeVar("T")

# The wide sign is that of a Japanese keyboard.
_MAIL = re.compile(r"[\w.+-]+[@＠][\w-]+(?:\.[\w-]+)+")
_for_a_guest: ContextVar[bool] = ContextVar("for_a_guest", default=False)


def for_a_guest() -> AbstractContextManager[None]:
    """What is made within goes to a guest."""
    return holding(_for_a_guest, True)


def without_mail(text: str) -> str:
    """`text` as a guest may read it."""
    return _MAIL.sub(lambda _found: _("(e-mail left out)"), text)


def given_out(what: T) -> T:
    """`what`, a text, bytes of UTF-8, or lists and mappings of such, as whoever gets it may read
    it: for a guest without e-mail addresses, for members as it is."""
    return cast(T, _without(what)) if _for_a_guest.get() else what


def _without(what: object) -> object:
    if isinstance(what, bytes):
        return without_mail(what.decode()).encode()
    if isinstance(what, str | Promise):
        return without_mail(str(what))
    if isinstance(what, dict):
        return {key: _without(each) for key, each in what.items()}
    if isinstance(what, list | tuple):
        return [_without(each) for each in what]
    return what
