"""Answer with a stored picture, whole or small."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.utils.cache import get_conditional_response
from django.utils.text import slugify
from django.utils.translation import gettext as _

from core.stored_files import was_removed
from rigs.models import StoredPhoto
from rigs.photos.prepare import CONTENT_TYPE
from rigs.photos.storage import open_file

YEAR = 60 * 60 * 24 * 365


def picture_response(request: HttpRequest, image: StoredPhoto, caption: str) -> HttpResponseBase:
    """The picture, or the small one where the address has `?size=thumb`.

    The address must name one picture for good, and the caller must have checked that the reader
    is a member. One that was removed on request is a picture that says so. Raises
    StoredFileUnreadable.
    """
    thumb = request.GET.get("size") == "thumb"
    sha256 = image.thumb_sha256 if thumb else image.sha256
    etag = f'"{sha256}"'
    if was_removed(sha256, image.production_id):
        return _removed()
    known = get_conditional_response(request, etag=etag)
    response = known if known is not None else _picture(image, caption, thumb)
    # The address names the picture, so it never changes; members only, so no shared cache.
    response["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    response["ETag"] = etag
    response["X-Content-Type-Options"] = "nosniff"
    # Pictures are packed already: the middleware that packs pages is to leave them alone.
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    return response


def _removed() -> HttpResponse:
    picture = render_to_string("rigs/photos/removed.svg", {"words": _("removed on request")})
    response = HttpResponse(picture, content_type="image/svg+xml", status=410)
    response["Cache-Control"] = "no-store"  # in the language of whoever asks
    return response


def _picture(image: StoredPhoto, caption: str, thumb: bool) -> FileResponse:
    file, _ = open_file(image, thumb=thumb)
    name = slugify(caption) or "photo"
    return FileResponse(file, content_type=CONTENT_TYPE, filename=f"{name}.webp")
