"""Give every error of the API one shape: {"code", "detail"}, and what helps to put it right."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.exceptions import NON_FIELD_ERRORS
from django.core.exceptions import ValidationError as ImpossibleValues
from django.utils.translation import gettext_lazy
from rest_framework import status
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.response import Response
from rest_framework.views import exception_handler, set_rollback

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

UNREADABLE = gettext_lazy("The request is not as it must be; see the fields.")
IMPOSSIBLE = gettext_lazy("Nothing was written: a value cannot be; see the fields.")


class ApiError(APIException):
    """An error with more to say than its code and a sentence: `more` is added to the body."""

    def __init__(self, status_code: int, code: str, detail: str, **more: Any) -> None:
        super().__init__(detail, code)
        self.status_code, self.more = status_code, more


def handle(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler. None (a fault of ours) goes on to Django's handler500."""
    # Readable, but impossible: 422 (RFC 9110, 15.5.21). DRF does not know the error, and would
    # leave it to the handler of faults.
    if isinstance(error, ImpossibleValues):
        set_rollback()
        return Response(
            _body("impossible_value", IMPOSSIBLE, fields=fields_of(error)),
            status.HTTP_422_UNPROCESSABLE_ENTITY,
        )
    response = exception_handler(error, context)
    if response is not None:
        response.data = _from_drf(error, response)
    return response


def fields_of(error: ImpossibleValues) -> dict[str, list[str]]:
    """Messages by field; what concerns the whole is under "all"."""
    if not hasattr(error, "error_dict"):
        return {"all": error.messages}
    return {
        "all" if name == NON_FIELD_ERRORS else name: messages
        for name, messages in error.message_dict.items()
    }


def _from_drf(error: Exception, response: Response) -> dict[str, Any]:
    if isinstance(error, ValidationError):
        fields = error.detail if isinstance(error.detail, dict) else {"all": error.detail}
        return _body("invalid", UNREADABLE, fields=fields)
    detail = response.data["detail"]
    more = error.more if isinstance(error, ApiError) else {}
    return _body(getattr(detail, "code", "error"), str(detail), **more)


def _body(code: str, detail: StrOrPromise, **more: Any) -> dict[str, Any]:
    return {"code": code, "detail": detail, **more}
