"""Take what cannot be printed out of forms, addresses and names of files (core.text)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponseBase, QueryDict
from django.utils.datastructures import MultiValueDict

from core.access.views import brings_form
from core.text import UNPRINTABLE, printable


class PrintableTextMiddleware:
    """Stands before the views and before OnceMiddleware, which compares requests by content."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        # The parsed values are replaced where Django keeps them: there is no public way.
        if not _is_printable(request.GET):
            request.GET = _printable(request.GET)  # type: ignore[assignment]
        # Programs send JSON, which the API's parser refuses instead: a program can be put right.
        if not brings_form(request, view):
            return
        if not _is_printable(request.POST):
            request.POST = _printable(request.POST)  # type: ignore[assignment]
        for uploads in request.FILES.lists():
            for upload in uploads[1]:
                upload.name = printable(upload.name or "")


def _is_printable(values: MultiValueDict[str, str]) -> bool:
    return not any(
        UNPRINTABLE.search(key) or any(UNPRINTABLE.search(str(each)) for each in texts)
        for key, texts in values.lists()
    )


def _printable(values: MultiValueDict[str, str]) -> QueryDict:
    clean = QueryDict(mutable=True)
    for key, texts in values.lists():
        clean.setlist(printable(key), [printable(str(each)) for each in texts])
    clean._mutable = False
    return clean
