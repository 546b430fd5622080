"""The one way to open a photo or a sound that was stored under the SHA-256 of its bytes.

A file may be missing, cut short, damaged or forbidden to the server. `open_stored` gives the bytes
that were stored, or raises one kind of error that says why it cannot.
"""

from __future__ import annotations

import hashlib
import logging
from typing import Any
from uuid import UUID

from django.core.cache import cache
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import as_stored
from core.models import RemovedFile

log = logging.getLogger(__name__)
REMOVED = gettext_lazy("it was removed on request")
_CHUNK = 1 << 20
_CHECKED_S = 60 * 60 * 24  # how long a file that did not change counts as checked


class StoredFileUnreadable(Http404):
    """The bytes that were stored cannot be had; the message is a sentence for the page.

    An address that is about nothing else is not found, and its page says the sentence.
    """

    def __init__(self, what: str, why: str) -> None:
        self.what, self.why = what, why
        super().__init__(_("{what} cannot be read: {why}.").format(what=what, why=why))


def open_stored(path: str, sha256: str, what: str) -> File[Any]:
    """The file at `path` of the storage, at its beginning, with the bytes of that SHA-256.

    `what` begins the sentence of the error: “The sound “Verse””. All bytes are read once a day, and
    again when size or time of the file differ. Raises StoredFileUnreadable.
    """
    try:
        return _opened(path, sha256)
    except Exception as error:  # noqa: BLE001 - each storage has errors of its own
        gone = isinstance(error, FileNotFoundError) and was_removed(sha256)
        with as_stored():
            log.warning("%s: %s", path, _why(error, gone))
        # The path goes to the log and not to the page: it tells how the server stores things.
        raise StoredFileUnreadable(what, _why(error, gone)) from None


def problem_of(path: str, sha256: str) -> str:
    """Why the file cannot be read, all bytes read anew; empty where it can."""
    try:
        _opened(path, sha256, anew=True).close()
    except FileNotFoundError as error:
        return "" if was_removed(sha256) else _why(error)
    except Exception as error:  # noqa: BLE001 - each storage has errors of its own
        return _why(error)
    return ""


def was_removed(sha256: str, production: UUID | None = None) -> bool:
    """Whether the file went on request of somebody who was in it: from `production`, which another
    one with the same bytes does not change, or from any."""
    gone = removed_from(production) if production else RemovedFile.objects.all()
    return gone.filter(sha256=sha256).exists()


def removed_from(production: UUID) -> QuerySet[RemovedFile, Any]:
    """The SHA-256 of each file of it that went so, for a subquery."""
    return (
        RemovedFile.objects.filter(production=production)
        .order_by()
        .values_list("sha256", flat=True)
    )


class _NotWhatWasStored(Exception):
    pass


def _why(error: Exception, gone: bool = False) -> str:
    if gone:
        return str(REMOVED)
    if isinstance(error, _NotWhatWasStored):
        return str(error)
    if isinstance(error, FileNotFoundError):
        return _("the file is missing")
    if isinstance(error, PermissionError):
        return _("the server may not read the file")
    reason = getattr(error, "strerror", None) or type(error).__name__
    return _("the storage failed ({reason})").format(reason=reason)


def _opened(path: str, sha256: str, *, anew: bool = False) -> File[Any]:
    file = default_storage.open(path)
    try:
        size = file.size
        if not size:
            raise _NotWhatWasStored(gettext_lazy("the file is empty"))
        # Size and time in the key: a file that was replaced since is read through again.
        key = f"stored/{sha256}/{size}/{default_storage.get_modified_time(path).timestamp()}"
        if anew or not cache.get(key):
            _check(file, sha256)
            cache.set(key, True, _CHECKED_S)
        file.seek(0)
        file.read(1)  # a storage that fails today says so here, and not half-way through an answer
        file.seek(0)
    except BaseException:
        file.close()
        raise
    return file


def _check(file: File[Any], sha256: str) -> None:
    found = hashlib.sha256()
    for piece in file.chunks(_CHUNK):
        found.update(piece)
    if found.hexdigest() != sha256:
        raise _NotWhatWasStored(gettext_lazy("the file is not what was stored"))
