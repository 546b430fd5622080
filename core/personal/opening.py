"""Open references: many in one query, and what was just opened not again.

A process remembers what it opened for `REMEMBERED_S`. So what was removed by another process may
still be shown by this one for as long; the process that removes forgets at once.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from core.languages.dates import day

REMEMBERED_S = 60.0
MOST = 20_000
AT_ONCE = 400


class Reference(str):
    """What a column holds in place of a text."""

    __slots__ = ()


class AsWritten(str):
    """A text of before, in the clear under a digest: it is stored as it is, also anew."""

    __slots__ = ()


class Opened(str):
    """The text that a reference opens to, or what is said in its place."""

    reference: Reference
    is_removed: bool


class _Waiting(threading.local):
    """What this thread read from the database and may want to be opened: the newest."""

    def __init__(self) -> None:
        self.references: deque[Reference] = deque(maxlen=AT_ONCE)


_waiting = _Waiting()
_forgotten: dict[str, tuple[float, dict[UUID, str]]] = {}
# By language what is said of what was removed; what people wrote is the same in all (None).
_known: dict[tuple[str | None, str], tuple[float, Opened]] = {}


def await_opening(reference: Reference) -> Reference:
    _waiting.references.append(reference)
    return reference


def opened(reference: str) -> Opened:
    """The text; what was removed says so, with the date and by whom."""
    return open_many([reference])[reference]


def open_many(references: Iterable[str]) -> dict[str, Opened]:
    """Each with its text. One query for what is not remembered, and for all that waits with it."""
    wanted = list(dict.fromkeys(references))
    found = {each: text for each in wanted if (text := _remembered(each)) is not None}
    if len(found) < len(wanted):
        waiting = _waiting.references
        missing = [each for each in wanted if each not in found]
        along = [each for each in dict.fromkeys(waiting) if _remembered(each) is None]
        waiting.clear()
        read = _read(dict.fromkeys([*missing, *along[: max(0, AT_ONCE - len(missing))]]))
        found |= {each: read[each] for each in missing}
    return found


def names_of(held: Iterable[str]) -> dict[str, str]:
    """What columns hold, each with its text: that of a reference, or else itself."""
    known = list(held)
    texts = open_many(each for each in known if isinstance(each, Reference))
    return {each: str(texts.get(each, each)) for each in known}


def remember(reference: str, text: str) -> None:
    """It was kept just now."""
    _put(reference, _made(reference, text))


def forget_all() -> None:
    """Whatever is asked next is read anew."""
    _known.clear()
    _forgotten.clear()


FORGOTTEN = "@forgotten.invalid"  # the address of an account of which nothing is left


def forgotten_people() -> dict[UUID, str]:
    """By account, what stands in place of the name of somebody who is forgotten everywhere."""
    until, people = _forgotten.get("", (0.0, {}))
    if until <= time.monotonic():
        from core.models import User

        gone = User.objects.filter(email__endswith=FORGOTTEN, is_active=False)
        people = dict(gone.values_list("pk", "name"))
        _forgotten[""] = (time.monotonic() + REMEMBERED_S, people)
    return people


def removed_words(at: datetime, by: str) -> str:
    """What stands in place of what was removed."""
    words = (
        _("removed on request, {day}, by {name}")
        if by
        else _("removed on request, {day}, by who runs the service")
    )
    return words.format(day=day(at.date()), name=by)


def _remembered(reference: str) -> Opened | None:
    for language in (get_language(), None):
        until, text = _known.get((language, reference), (0.0, None))
        if text is not None and until > time.monotonic():
            return text
    return None


def _read(references: Iterable[str]) -> dict[str, Opened]:
    from core.personal.store import rows_of

    wanted = list(references)
    rows = rows_of(wanted)
    found: dict[str, Opened] = {}
    for each in wanted:
        row = rows.get(each)
        if row is None:
            text = _made(each, _("not on file"), removed=True)
        elif row.removal is not None and not row.text:
            by = row.removal.by.name if row.removal.by else ""
            text = _made(each, removed_words(row.removal.at, by), removed=True)
        else:
            text = _made(each, row.text)
        found[each] = text
        _put(each, text)
    return found


def _made(reference: str, text: str, *, removed: bool = False) -> Opened:
    made = Opened(text)
    made.reference, made.is_removed = Reference(reference), removed
    return made


def _put(reference: str, text: Opened) -> None:
    if len(_known) >= MOST:
        _known.clear()
    language = get_language() if text.is_removed else None
    _known[language, reference] = (time.monotonic() + REMEMBERED_S, text)
