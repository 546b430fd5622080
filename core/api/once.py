"""A request of a program that comes with a key is carried out once, as forms of pages are.

The rules are those of core.offline.once; only how a request is compared and answered differs.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from django.core.files.base import File
from django.db import OperationalError, transaction
from django.http import QueryDict
from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiParameter
from rest_framework import status
from rest_framework.request import Request

from core.api.errors import ApiError
from core.offline.once import HEADER, KEY, claim_key

ONCE = OpenApiParameter(
    HEADER,
    str,
    OpenApiParameter.HEADER,
    description="In quotes, 8 to 64 letters, digits and -: the same request sent again with it is "
    "answered with what it made the first time.",
)


class Done(NamedTuple):
    """The id of what a request made; `is_new` where it was made just now."""

    made: str
    is_new: bool


def done_once(request: Request, act: Callable[[], Any]) -> Done:
    """Carry out `act`, which answers with the id of what it made, once for each key of a person.

    Raises ApiError for a key that is none, one that stood for something else, and one whose first
    request is still running.
    """
    header = request.headers.get(HEADER)
    if header is None:
        return Done(str(act()), is_new=True)
    match = KEY.fullmatch(header)
    if match is None:
        said = _("{header} is a string in quotes, of 8 to 64 letters, digits and -.").format(
            header=HEADER
        )
        raise ApiError(status.HTTP_400_BAD_REQUEST, "bad_key", said)
    digest, has_claim = _digest(request), False
    try:
        with transaction.atomic():
            claim, is_new = claim_key(request, match[1], digest)
            has_claim = True
            if is_new:
                claim.location = str(act())
                claim.save(update_fields=["location"])
    except OperationalError:
        if has_claim:
            raise
        said = _("This is being carried out. Ask again in a moment.")
        raise ApiError(status.HTTP_409_CONFLICT, "still_running", said) from None
    if claim.digest != digest:
        said = _("This {header} was used for something else.").format(header=HEADER)
        raise ApiError(status.HTTP_422_UNPROCESSABLE_ENTITY, "other_request", said)
    return Done(claim.location, is_new)


def _digest(request: Request) -> str:
    """SHA-256 of the address and of all that was sent, files by their bytes."""
    digest = hashlib.sha256(request.get_full_path().encode())
    for name, value in _pairs(request.data):
        if isinstance(value, File):
            digest.update(repr((name, value.name)).encode())
            for chunk in value.chunks():
                digest.update(chunk)
            value.seek(0)  # it is read after this
        else:
            digest.update(repr((name, value)).encode())
    return digest.hexdigest()


def _pairs(data: Any) -> Iterable[tuple[str, Any]]:
    if isinstance(data, QueryDict):
        return [(name, value) for name, values in sorted(data.lists()) for value in values]
    return sorted(data.items()) if isinstance(data, dict) else [("", data)]
