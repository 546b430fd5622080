"""Answer with a stored file or the part of it that a player asks for (RFC 9110, section 14).

Answer with one of the three copies of a clip, for its page and for the API.
"""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Iterator
from typing import Any

from asgiref.sync import sync_to_async
from django.core.files.base import File
from django.core.handlers.asgi import ASGIRequest
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.utils.cache import get_conditional_response
from django.utils.text import slugify
from django.utils.translation import gettext as _

from notes.clips.formats import KINDS, WAV
from notes.clips.storage import COPIES, named, open_copy
from notes.models import Clip

_CHUNK = 1 << 16
YEAR = 60 * 60 * 24 * 365
_RANGE = re.compile(r"\s*bytes\s*=\s*(\d*)\s*-\s*(\d*)\s*", re.ASCII | re.IGNORECASE)


class Unsatisfiable(ValueError):
    """The file has no such part."""


def requested_bytes(header: str, size: int) -> tuple[int, int] | None:
    """First byte and the byte after the last; None where the whole is to be sent.

    A header that is malformed, in other units, or asks for several parts is ignored, as a server
    may. Raises Unsatisfiable for a part that begins after the end.
    """
    match = _RANGE.fullmatch(header)
    if match is None:
        return None
    # Twenty digits are more than any file has; thousands would only cost time to convert.
    first, last = (int(digits[:20]) if digits else None for digits in match.groups())
    # “bytes=-500” asks for the last 500.
    if first is None:
        if last is None:
            return None
        if last == 0 or size == 0:
            raise Unsatisfiable
        return max(0, size - last), size
    if last is not None and last < first:
        return None
    if first >= size:
        raise Unsatisfiable
    return first, min(size, size if last is None else last + 1)


def file_response(
    request: HttpRequest, file: File[Any], size: int, *, content_type: str, etag: str, name: str
) -> HttpResponseBase:
    """Answer 200, 206, 304, 412 or 416. `etag` comes with its quotes. It names the bytes, so it is
    a strong one and the answer never goes stale; members only, so no shared cache may store it."""
    known = get_conditional_response(request, etag=etag)
    response: HttpResponseBase = known or _answer(request, file, size, etag)
    if known is None and response.status_code != 416:
        response["Content-Type"] = content_type
        response["Content-Disposition"] = f'inline; filename="{name}"'
    if not isinstance(response, StreamingHttpResponse):
        file.close()
    response["Accept-Ranges"] = "bytes"
    response["ETag"] = etag
    response["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    # Sound is packed already, and packing it again would shift the bytes that were asked for.
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    return response


def _answer(request: HttpRequest, file: File[Any], size: int, etag: str) -> HttpResponseBase:
    part = None
    # Only a GET has parts; what changed since (If-Range) is sent whole.
    if request.method == "GET" and request.headers.get("If-Range", etag) == etag:
        try:
            part = requested_bytes(request.headers.get("Range", ""), size)
        except Unsatisfiable:
            # With the size, so that a player can ask again (RFC 9110, 15.5.17).
            return HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
    first, end = part or (0, size)
    if request.method == "HEAD":
        return HttpResponse(headers={"Content-Length": str(size)})
    response = StreamingHttpResponse(
        _pieces_async(file, first, end)
        if isinstance(request, ASGIRequest)
        else _pieces(file, first, end),
        status=206 if part else 200,
    )
    response["Content-Length"] = str(end - first)
    if part:
        response["Content-Range"] = f"bytes {first}-{end - 1}/{size}"
    return response


def _pieces(file: File[Any], first: int, end: int) -> Iterator[bytes]:
    with file:
        file.seek(first)
        while first < end and (piece := file.read(min(_CHUNK, end - first))):
            first += len(piece)
            yield piece


async def _pieces_async(file: File[Any], first: int, end: int) -> AsyncIterator[bytes]:
    """The same where the server is asynchronous: it would first read a plain iterator whole."""
    pieces = _pieces(file, first, end)

    def one() -> bytes:
        return next(pieces, b"")

    while piece := await sync_to_async(one)():
        yield piece


def copy_response(request: HttpRequest, clip: Clip, copy: str) -> HttpResponseBase:
    """A copy of a clip, whole or the part that is asked for.

    Raises Http404 for a copy that there is none of, and StoredFileUnreadable, which is answered
    with 404, too.
    """
    if copy not in COPIES:
        raise Http404(_("A clip has no such copy."))
    file, content_type, size = open_copy(clip, copy)
    return file_response(
        request,
        file,
        size,
        content_type=content_type,
        name=_file_name(clip, copy),
        etag=f'"{named(clip, copy)[0]}"',
    )


def _file_name(clip: Clip, copy: str) -> str:
    endings = {"working": "flac", "preview": "m4a"}
    ending = endings.get(copy) or KINDS.get(clip.sound.kind, WAV).suffix
    return f"{slugify(clip.name) or 'clip'}.{ending}"
