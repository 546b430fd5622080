"""A large file in pieces: what was cut off goes on where it stopped.

Each piece is a file of its own in the default storage, written before the row that names it, so
that a crash can leave a file without a row, but never a row without its file. A piece is taken at
the place where the upload stands and nowhere else, so that the pieces always are the beginning of
one file. Offsets and sizes are in bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any, cast
from uuid import UUID, uuid4

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import (
    InMemoryUploadedFile,
    TemporaryUploadedFile,
    UploadedFile,
)
from django.db import transaction
from django.db.models import Q, QuerySet, Sum
from django.http.multipartparser import MultiPartParser
from django.utils.translation import gettext as _

from core import clock
from core.models import Production, Upload, UploadPiece, User
from core.text import printable
from core.uploads.leftovers import drop_files

FOLDER = "uploads"
PIECE_MOST = 1024 * 1024
# But for the last one: a file in a thousand crumbs is a thousand files in the storage.
PIECE_LEAST = 64 * 1024
AT_ONCE = 60  # uploads of one person that no form has named yet
LASTS = timedelta(days=1)  # after its last piece
LASTS_USED = timedelta(hours=1)  # the answer to the form may be lost, and the form sent again


class UploadRefused(Exception):
    """What was asked cannot be done. `status` is that of HTTP, `code` is for programs."""

    def __init__(self, status: int, code: str, detail: str) -> None:
        super().__init__(detail)
        self.status, self.code, self.detail = status, code, detail


class OtherOffset(UploadRefused):
    """The upload stands elsewhere, at `upload.received`."""

    def __init__(self, upload: Upload, asked: int) -> None:
        detail = _("The next piece begins at {received}, not at {asked}.").format(
            received=upload.received, asked=asked
        )
        super().__init__(409, "other_offset", detail)
        self.upload = upload


def bytes_at_once() -> int:
    """How much one person may have on its way: two of the largest forms."""
    return 2 * settings.UPLOAD_MAX_BYTES


@transaction.atomic
def begin(
    *, user: User, production: Production, key: str, name: str, content_type: str, size: int
) -> Upload:
    """The upload of this person under `key`: a new one, or the one there is, to go on with.

    Raises UploadRefused for a size that no form takes, for a key that stands for another file, and
    for too much at once.
    """
    if not 0 <= size <= settings.UPLOAD_MAX_BYTES:
        most = settings.UPLOAD_MAX_BYTES // (1024 * 1024)
        raise UploadRefused(
            413, "too_large", _("A file may have 0 to {most} MB.").format(most=most)
        )
    # Whoever begins two at once waits here, so that neither counts without the other.
    User.objects.select_for_update(no_key=True).get(pk=user.pk)
    name = file_name(name)
    own = Upload.objects.filter(user=user)
    _forget(own.filter(_is_over(clock.now())))
    if known := own.filter(production=production, key=key).first():
        if (known.name, known.size) != (name, size):
            raise UploadRefused(409, "other_file", _("This key stands for another file."))
        return known
    _make_room(own, size)
    return Upload.objects.create(
        user=user,
        production=production,
        key=key,
        name=name,
        content_type=printable(content_type)[:100] or "application/octet-stream",
        size=size,
    )


def file_name(name: str) -> str:
    """As it would be if the whole file had come in a form. Raises UploadRefused without one."""
    # Uses nothing of its parser, and is the only place where Django says what a name becomes.
    safe = MultiPartParser.sanitize_file_name(cast(Any, None), name)
    if not safe:
        raise UploadRefused(400, "no_name", _("A file has a name."))
    # `UploadedFile` shortens a long name, and keeps its ending.
    return str(UploadedFile(name=printable(safe)).name)


def _make_room(own: QuerySet[Upload], size: int) -> None:
    """What a form has named makes room first. Raises UploadRefused where that is not enough."""
    if _fits(own, size):
        return
    # Named by a form, these are kept only in case its answer was lost.
    _forget(own.exclude(used_at=None))
    if not _fits(own, size):
        raise UploadRefused(
            413,
            "too_much_at_once",
            _("Too much of yours is on its way already. Let it arrive first."),
        )


def _fits(own: QuerySet[Upload], size: int) -> bool:
    there = own.aggregate(bytes=Sum("size", default=0))["bytes"]
    return own.count() < AT_ONCE and there + size <= bytes_at_once()


def append(upload: Upload, *, offset: int, data: bytes, only: UUID | None = None) -> Upload:
    """Put `data` behind what has arrived; the upload as it stands then.

    Raises OtherOffset where the upload stands elsewhere, and UploadRefused for a piece that is too
    long, too short or goes beyond the end, and where the upload is not there any more.
    """
    _check_piece(upload, offset, data)
    # A random name: two who send the same piece at once must not write into one file.
    path = f"{FOLDER}/{upload.pk}/{offset}-{uuid4().hex}"
    # Before the lock is taken: a storage far away may need seconds.
    written = default_storage.save(path, ContentFile(data))
    try:
        return _append(upload, offset, data, written)
    except BaseException:
        with suppress(OSError):
            default_storage.delete(written)
        raise


def _check_piece(upload: Upload, offset: int, data: bytes) -> None:
    if offset != upload.received:
        raise OtherOffset(upload, offset)
    left = upload.size - offset
    if len(data) > PIECE_MOST:
        raise UploadRefused(
            413,
            "piece_too_long",
            _("A piece has {piece_most} bytes at most.").format(piece_most=PIECE_MOST),
        )
    if len(data) > left:
        raise UploadRefused(
            400, "beyond_the_end", _("Only {left} bytes are still to come.").format(left=left)
        )
    if not data or len(data) < min(PIECE_LEAST, left):
        raise UploadRefused(
            400,
            "piece_too_short",
            _("A piece has {piece_least} bytes or more, but for the last.").format(
                piece_least=PIECE_LEAST
            ),
        )


@transaction.atomic
def _append(upload: Upload, offset: int, data: bytes, path: str) -> Upload:
    locked = Upload.objects.select_for_update().filter(pk=upload.pk).first()
    if locked is None:
        raise gone()
    # Checked again under the lock: the same piece may have arrived twice at once.
    if locked.received != offset:
        raise OtherOffset(locked, offset)
    UploadPiece.objects.create(
        upload=locked,
        begins=offset,
        size=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
        path=path,
    )
    locked.received += len(data)
    locked.touched_at = clock.now()
    locked.save(update_fields=["received", "touched_at"])
    return locked


def gone() -> UploadRefused:
    return UploadRefused(
        410, "upload_gone", _("Of what was sent, something is not here any more. Send it again.")
    )


def joined(upload: Upload) -> UploadedFile[Any]:
    """The whole file, as Django makes one of a form. Raises UploadRefused where it is not whole;
    what is damaged is forgotten, so that it is sent anew."""
    if not upload.is_complete:
        raise gone()
    file = _empty_file(upload)
    whole = 0
    try:
        for piece in upload.pieces.all():
            data = _read(piece)
            if piece.begins != whole or hashlib.sha256(data).hexdigest() != piece.sha256:
                raise FileNotFoundError(piece.path)
            whole += file.write(data)
        if whole != upload.size:
            raise FileNotFoundError(str(upload.pk))
    except FileNotFoundError:
        file.close()
        with transaction.atomic():
            _forget(Upload.objects.filter(pk=upload.pk))
        raise gone() from None
    file.seek(0)
    return file


def _empty_file(upload: Upload) -> UploadedFile[Any]:
    """In memory or on disk, as the settings say for a form."""
    if upload.size > settings.FILE_UPLOAD_MAX_MEMORY_SIZE:
        return TemporaryUploadedFile(upload.name, upload.content_type, upload.size, None)
    return InMemoryUploadedFile(
        ContentFile(b""), None, upload.name, upload.content_type, upload.size, None
    )


def _read(piece: UploadPiece) -> bytes:
    with default_storage.open(piece.path) as file:
        return bytes(file.read())


def _is_over(now: datetime) -> Q:
    return Q(touched_at__lt=now - LASTS) | Q(used_at__lt=now - LASTS_USED)


def _forget(uploads: QuerySet[Upload]) -> list[Upload]:
    """Drop the rows, and their files once that is certain. Within a transaction."""
    dropped = list(uploads)
    if not dropped:
        return []
    paths = list(UploadPiece.objects.filter(upload__in=dropped).values_list("path", flat=True))
    Upload.objects.filter(pk__in=[each.pk for each in dropped]).delete()
    folders = [f"{FOLDER}/{each.pk}" for each in dropped]
    # Not before the commit: rolled back, the rows would name files that are gone.
    transaction.on_commit(lambda: _delete_files(paths, folders))
    return dropped


def _delete_files(paths: list[str], folders: list[str]) -> None:
    for path in (*paths, *folders):  # an emptied folder, where the storage has such
        with suppress(OSError):
            default_storage.delete(path)


def forget(upload: Upload) -> None:
    """Its sender gives it up."""
    with transaction.atomic():
        _forget(Upload.objects.filter(pk=upload.pk))


def drop_unused(now: datetime | None = None) -> Iterator[str]:
    """Forget uploads that nobody went on with for a day and those that a form took an hour ago,
    and files that a crash left behind; their names, as they go."""
    now = now or clock.now()
    for upload in Upload.objects.filter(_is_over(now)).iterator():
        with transaction.atomic():
            # Asked again under the lock: its sender may just have gone on.
            again = Upload.objects.select_for_update().filter(_is_over(now), pk=upload.pk)
            dropped = _forget(again)
        yield from (str(each) for each in dropped)
    yield from drop_files(FOLDER, _named_in, now - LASTS)


def _named_in(folder: str) -> set[str]:
    paths = UploadPiece.objects.filter(path__startswith=f"{FOLDER}/{folder}/")
    return set(paths.values_list("path", flat=True))
