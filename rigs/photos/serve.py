"""Answer with a stored picture, whole or small."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.utils.text import slugify

from rigs.models import StoredPhoto
from rigs.photos.prepare import CONTENT_TYPE
from rigs.photos.storage import open_file

YEAR = 60 * 60 * 24 * 365


def picture_response(request: HttpRequest, image: StoredPhoto, caption: str) -> HttpResponseBase:
    """The picture, or the small one where the address has `?size=thumb`.

    The address must name one picture for good, and the caller must have checked that the reader
    is a member. Raises StoredFileUnreadable.
    """
    thumb = request.GET.get("size") == "thumb"
    etag = f'"{image.thumb_sha256 if thumb else image.sha256}"'
    known = get_conditional_response(request, etag=etag)
    response = known if known is not None else _picture(image, caption, thumb)
    # The address names the picture, so it never changes; members only, so no shared cache.
    response["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    response["ETag"] = etag
    response["X-Content-Type-Options"] = "nosniff"
    # Pictures are packed already: the middleware that packs pages is to leave them alone.
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    return response


def _picture(image: StoredPhoto, caption: str, thumb: bool) -> FileResponse:
    file, _ = open_file(image, thumb=thumb)
    name = slugify(caption) or "photo"
    return FileResponse(file, content_type=CONTENT_TYPE, filename=f"{name}.webp")
