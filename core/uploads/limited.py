"""A limit to the bytes of one form. Django's own handlers stream the files to disk."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopUpload


class LimitedUploads(FileUploadHandler):
    """Stands before the handlers that store. Once all files of a request have more bytes than the
    largest form takes, nothing more is stored, and `request.upload_stopped` says so to the view.

    What still comes is read and thrown away, so that the browser gets to see the answer.
    """

    def __init__(self, request: Any = None) -> None:
        super().__init__(request)
        self._left = settings.UPLOAD_MAX_BYTES

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        self._left -= len(raw_data)
        if self._left < 0:
            if self.request is not None:
                self.request.upload_stopped = True  # type: ignore[attr-defined]
            raise StopUpload(connection_reset=False)
        return raw_data

    def file_complete(self, file_size: int) -> UploadedFile[Any] | None:
        return None
