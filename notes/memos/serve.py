"""Answer with the sound of a memo, for its page and for the API."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponseBase

from notes.clips.ranges import file_response
from notes.clips.storage import PREVIEW_TYPE
from notes.memos.services import open_preview
from notes.models import NoteMemo


def sound_response(request: HttpRequest, memo: NoteMemo) -> HttpResponseBase:
    """The small copy of a memo, or the range of it that is asked for.

    Raises StoredFileUnreadable, which is answered with 404.
    """
    file = open_preview(memo)
    return file_response(
        request,
        file,
        file.size,
        content_type=PREVIEW_TYPE,
        etag=f'"{memo.preview}"',
        name="voice-memo.m4a",
    )
