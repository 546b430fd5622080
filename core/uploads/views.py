"""One upload of one person: what has arrived of it, and its next piece.

Names of headers and what they mean are those of the IETF's draft-ietf-httpbis-resumable-upload (a
draft, no standard), and `Content-Digest` of RFC 9530. The address holds the sender's key, so that
an answer may be lost at any step: the same is asked again.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpResponse, HttpResponseBase, JsonResponse, UnreadablePostError
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.models import Upload
from core.uploads import pieces
from core.uploads.middleware import refusal
from core.uploads.pieces import OtherOffset, UploadRefused

KEY = re.compile(r"[A-Za-z0-9_-]{8,64}")
NUMBER = re.compile(r"[0-9]{1,15}")
DIGEST = re.compile(r"\bsha-256=:([^:]*):")


def _refusals_as_json(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Refusals as JSON, with where the upload stands."""

    @wraps(view)
    def answer(*args: Any, **more: Any) -> HttpResponseBase:
        try:
            return view(*args, **more)
        except OtherOffset as refused:
            return _with_offset(refusal(refused), refused.upload)
        except UploadRefused as refused:
            return refusal(refused)

    return answer


@never_cache
@require_http_methods(["HEAD", "GET", "POST", "PATCH", "DELETE"])
@production_view(Action.UPLOAD)
@_refusals_as_json
def upload(request: ProductionRequest, key: str) -> HttpResponse:
    """POST says which file it is, PATCH brings a piece, GET and HEAD tell how far it is, DELETE
    gives it up."""
    if not KEY.fullmatch(key):
        raise UploadRefused(400, "unreadable", _("A key has 8 to 64 letters, digits, - and _."))
    if request.method == "POST":
        return _as_json(_begun(request, key))
    rows = Upload.objects.filter(user=request.user, production=request.production, key=key)
    own = rows.first()
    if request.method == "PATCH":
        return _appended(request, own)
    # To delete what is gone is no error: the first answer may have been lost.
    if own is not None and request.method == "DELETE":
        pieces.forget(own)
    return HttpResponse(status=204) if request.method == "DELETE" else _as_json(own)


def _begun(request: ProductionRequest, key: str) -> Upload:
    return pieces.begin(
        user=request.user,
        production=request.production,
        key=key,
        name=request.POST.get("name", ""),
        content_type=request.POST.get("type", ""),
        size=_number(request.POST.get("size"), "size"),
    )


def _appended(request: ProductionRequest, upload: Upload | None) -> HttpResponse:
    match = request.headers.get("If-Match")
    # The tag is the id: under the same key the upload may have been forgotten and begun anew.
    if upload is None or (match is not None and match != _tag(upload)):
        raise pieces.gone()
    offset = _number(request.headers.get("Upload-Offset"), "Upload-Offset")
    return _with_offset(
        HttpResponse(status=204), pieces.append(upload, offset=offset, data=_body(request))
    )


def _body(request: ProductionRequest) -> bytes:
    """The piece, read no further than it may be long. Raises UploadRefused where it is cut off or
    is not what its sender says."""
    length = _number(request.headers.get("Content-Length") or "0", "Content-Length")
    if length > pieces.PIECE_MOST:
        raise UploadRefused(
            413,
            "piece_too_long",
            _("A piece has {piece_most} bytes at most.").format(piece_most=pieces.PIECE_MOST),
        )
    try:
        # Not request.body, which goes by other limits: no more than announced is read.
        data = request.read(length)
    except UnreadablePostError:
        data = b""
    if len(data) != length:
        raise UploadRefused(400, "cut_off", _("The piece did not arrive whole."))
    digest = DIGEST.search(request.headers.get("Content-Digest", ""))
    # Senders may leave the header out; then the length alone is compared.
    if digest and _decoded(digest[1]) != hashlib.sha256(data).digest():
        raise UploadRefused(400, "other_digest", _("The piece is not what its digest says."))
    return data


def _decoded(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except binascii.Error:
        return b""


def _number(text: str | None, name: str) -> int:
    if text is None or not NUMBER.fullmatch(text):
        raise UploadRefused(
            400, "unreadable", _("{name} is a number of bytes, 0 or more.").format(name=name)
        )
    return int(text)


def _tag(upload: Upload) -> str:
    return f'"{upload.pk}"'


def _as_json(upload: Upload | None) -> HttpResponse:
    """Of what nothing has arrived, the same without a file."""
    arrived = [] if upload is None else list(upload.pieces.values_list("size", "sha256"))
    response = JsonResponse(
        {
            "id": None if upload is None else str(upload.pk),
            "offset": 0 if upload is None else upload.received,
            "size": None if upload is None else upload.size,
            "pieces": arrived,
        }
    )
    return _with_offset(response, upload)


def _with_offset(response: HttpResponse, upload: Upload | None) -> HttpResponse:
    response.headers["Upload-Limit"] = (
        f"max-size={settings.UPLOAD_MAX_BYTES}, max-append-size={pieces.PIECE_MOST}, "
        f"min-append-size={pieces.PIECE_LEAST}, max-age={round(pieces.LASTS.total_seconds())}"
    )
    if upload is None:
        response.headers["Upload-Offset"] = "0"
        return response
    response.headers["ETag"] = _tag(upload)
    response.headers["Upload-Offset"] = str(upload.received)
    response.headers["Upload-Length"] = str(upload.size)
    response.headers["Upload-Complete"] = "?1" if upload.is_complete else "?0"
    return response
