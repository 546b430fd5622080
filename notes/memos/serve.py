"""Answer with the sound of a memo, for its page and for the API."""

from __future__ import annotations

import io

import av
import soundfile
from django.core.files.base import ContentFile
from django.http import HttpRequest, HttpResponseBase

from notes.clips.ranges import file_response
from notes.clips.storage import PREVIEW_TYPE, WORKING_TYPE
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


def instead_response(request: HttpRequest, memo: NoteMemo) -> HttpResponseBase:
    """The small copy as FLAC of 16 bits, made anew for whoever asks: few browsers do, and a memo
    lasts five minutes at most. Same bytes each time, so that a range fits the one before.

    Raises StoredFileUnreadable, which is answered with 404.
    """
    with open_preview(memo) as stored, av.open(stored, format="mp4", mode="r") as small:
        coding = small.streams.audio[0].codec_context
        made = io.BytesIO()
        options = {"channels": coding.channels, "format": "FLAC", "subtype": "PCM_16"}
        with soundfile.SoundFile(made, "w", coding.sample_rate, **options) as flac:
            for frame in small.decode(audio=0):
                flac.write(frame.to_ndarray().T)
    body = made.getvalue()
    return file_response(
        request,
        ContentFile(body),
        len(body),
        content_type=WORKING_TYPE,
        etag=f'"flac-{memo.preview}"',
        name="voice-memo.flac",
    )
