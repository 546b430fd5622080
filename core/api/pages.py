"""Lists come in pages that are turned by an opaque cursor, so that new rows shift nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from rest_framework.exceptions import NotFound
from rest_framework.pagination import CursorPagination
from rest_framework.request import Request


class Pages(CursorPagination):
    """`ordering` is the view's: its last field must tell any two rows apart."""

    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200

    def get_ordering(self, request: Request, queryset: QuerySet[Any], view: Any) -> tuple[str, ...]:
        ordering: tuple[str, ...] = view.ordering
        return ordering

    def decode_cursor(self, request: Request) -> Any:
        cursor = super().decode_cursor(request)
        if cursor is not None and "\x00" in str(cursor.position):
            raise NotFound(self.invalid_cursor_message)
        return cursor

    def paginate_queryset(
        self, queryset: QuerySet[Any] | Sequence[Any], request: Request, view: Any = None
    ) -> list[Any] | None:
        try:
            return super().paginate_queryset(queryset, request, view)
        except (ValueError, TypeError, ValidationError):
            # A cursor somebody made up decodes, yet holds no value of the ordering's type.
            raise NotFound(self.invalid_cursor_message) from None
