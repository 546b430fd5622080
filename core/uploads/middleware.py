"""A form that names uploads instead of bringing their bytes arrives as if it had brought them.

Its field `uploaded_file` has one value for each file, in the order of the form: the name of the
field that the file is of, a space, the id of the upload. Views, forms and the digest of a request
that is carried out once (core.offline.once) see the whole files.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase, JsonResponse, QueryDict
from django.utils.translation import gettext as _

from core import clock
from core.access.views import brings_form
from core.models import Upload
from core.uploads.pieces import UploadRefused, gone, joined

FIELD = "uploaded_file"


class JoinedFilesMiddleware:
    """Joins the files that a form names. Stands before every middleware that looks into a form."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self, request: Any, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        if not brings_form(request, view):
            return None
        named = request.POST.getlist(FIELD)
        if not named or not request.user.is_authenticated:
            return None
        try:
            _attach(request, _pairs(named), kwargs.get("production"))
        except UploadRefused as refused:
            return refusal(refused)
        request.POST = _without(request.POST)
        return None


def refusal(refused: UploadRefused) -> JsonResponse:
    return JsonResponse({"code": refused.code, "detail": refused.detail}, status=refused.status)


def _pairs(named: Sequence[str]) -> list[tuple[str, UUID]]:
    pairs = []
    for each in named:
        field, _blank, upload = each.rpartition(" ")
        try:
            pairs.append((field, UUID(upload)))
        except ValueError:
            raise UploadRefused(
                400,
                "unreadable",
                _("{field} is the name of a field, a space and an upload’s id.").format(
                    field=FIELD
                ),
            ) from None
    return pairs


def _attach(request: Any, pairs: Sequence[tuple[str, UUID]], production: Any) -> None:
    """Put the files into the form. All of them at most as much as a form may bring whole."""
    # One’s own, in this production only: an id that somebody else learnt is of no use to them.
    rows = Upload.objects.filter(user=request.user, production=production)
    uploads = rows.in_bulk([pk for _, pk in pairs])
    if not all(pk in uploads for _, pk in pairs):
        raise gone()
    left = settings.UPLOAD_MAX_BYTES
    for field, pk in pairs:
        left -= uploads[pk].size
        if left < 0:
            request.upload_stopped = True  # as core.uploads.limited says it
            break
        # From here on Django closes it with the request.
        request.FILES.appendlist(field, joined(uploads[pk]))
    rows.filter(pk__in=uploads).update(used_at=clock.now())


def _without(fields: QueryDict) -> QueryDict:
    left = fields.copy()
    with suppress(KeyError):
        del left[FIELD]
    left._mutable = False
    return left
