"""Read the JSON of a request, with a limit to its size and numbers exactly as they were written."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import IO, Any

from django.conf import settings
from django.utils.translation import gettext as _
from rest_framework import status
from rest_framework.exceptions import APIException, ParseError, ValidationError
from rest_framework.parsers import BaseParser

from core.text import unprintable


class TooLarge(APIException):
    status_code = status.HTTP_413_REQUEST_ENTITY_TOO_LARGE
    default_code = "too_large"


class ExactJSONParser(BaseParser):
    """0.035 arrives as Decimal("0.035"). NaN and Infinity, which JSON has not, are refused."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        # One byte more than allowed tells “too long” from “exactly as long”. Content-Length is not
        # trusted: it may be missing or false.
        body = stream.read(limit + 1)
        if len(body) > limit:
            raise TooLarge(_("The request is longer than {limit} bytes.").format(limit=limit))
        try:
            sent = json.loads(body.decode(), parse_float=Decimal, parse_constant=_refuse)
        # RecursionError: deeply nested brackets are short to send and exhaust the parser.
        except (ValueError, RecursionError) as error:
            raise ParseError(
                _("This is not JSON that can be read: {error}").format(error=error)
            ) from None
        _check_printable(sent)
        return sent


def _check_printable(sent: Any) -> None:
    """Raises ValidationError under the name of the field that holds what cannot be printed."""
    refused = next(unprintable(sent), None)
    if refused:
        # The refused text is “path.to.field: U+FFFE”; only the outermost name is a field of the
        # request.
        field = refused.partition(":")[0].partition(".")[0] if ": " in refused else "all"
        words = _("This holds a character that cannot be printed ({refused}).").format(
            refused=refused
        )
        raise ValidationError({field: [words]})


def _refuse(constant: str) -> Any:
    raise ValueError(f"{constant} is no JSON value")
