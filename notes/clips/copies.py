"""Answer with one of the three copies of a clip, for its page and for the API."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponseBase
from django.utils.text import slugify

from notes.clips.serving import file_response
from notes.clips.sniffing import KINDS, WAV
from notes.clips.storing import COPIES, named, open_copy
from notes.models import Clip


def copy_response(request: HttpRequest, clip: Clip, copy: str) -> HttpResponseBase:
    """All of it or the part that is asked for. Raises Http404 for what there is none of."""
    if copy not in COPIES:
        raise Http404("A clip has no such copy.")
    try:
        file, content_type, size = open_copy(clip, copy)
    except FileNotFoundError:
        raise Http404("The file of this clip is missing.") from None
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
