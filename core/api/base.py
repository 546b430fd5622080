"""What all addresses of the API share: who may call them, and how lists are paged.

A view names the `action` it is (and `write`, where writing needs another); the permission class
finds the production among the caller's own and asks the policy table, like the pages do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext_lazy
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.pagination import CursorPagination
from rest_framework.permissions import SAFE_METHODS, BasePermission, IsAuthenticated
from rest_framework.request import Request

from core.access.loaders import Member, load_member
from core.access.policy import Action, allowed
from core.models import Production


class ByPolicy(BasePermission):
    """404 for a production that is not the caller's, 403 for what their roles may not do."""

    message = gettext_lazy("You are in this production, but this needs another role.")

    def has_permission(self, request: Request, view: Any) -> bool:
        view.member = load_member(request.user, view.find_production())  # type: ignore[arg-type]
        action = view.action if request.method in SAFE_METHODS else (view.write or view.action)
        return allowed(view.member.roles, action)


class Pages(CursorPagination):
    """Lists come in pages that are turned by an opaque cursor, so that new rows shift nothing.

    `ordering` is the view's: its last field must tell any two rows apart.
    """

    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200

    def get_ordering(self, request: Request, queryset: QuerySet[Any], view: Any) -> tuple[str, ...]:
        ordering: tuple[str, ...] = view.ordering
        return ordering

    def decode_cursor(self, request: Request) -> Any:
        cursor = super().decode_cursor(request)
        # PostgreSQL takes no NUL in a text parameter: without this the query would fail with a 500.
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


class ApiView(GenericAPIView[Any]):
    """For anybody with a key or a session; `access` declares it to the middleware."""

    access: ClassVar[str] = "api"
    permission_classes: Sequence[Any] = (IsAuthenticated,)
    pagination_class = Pages
    ordering: ClassVar[tuple[str, ...]] = ("pk",)


# Each a sentence: the words around a name follow its gender in some languages.
NO_SUCH = {
    "cause": gettext_lazy("No such cause."),
    "clip": gettext_lazy("No such clip."),
    "handover": gettext_lazy("No such handover."),
    "memo": gettext_lazy("No such memo."),
    "note": gettext_lazy("No such note."),
    "photo": gettext_lazy("No such photo."),
    "question": gettext_lazy("No such question."),
    "recording": gettext_lazy("No such recording."),
    "take": gettext_lazy("No such take."),
}


def production_of(rows: QuerySet[Any], path: str, what: str) -> UUID:
    """The id of the production that the one of `rows` belongs to, by its `path` from there.

    Raises Http404: there is no such `what`, a key of NO_SUCH.
    """
    for production in rows.values_list(path, flat=True)[:1]:
        return production  # type: ignore[no-any-return]
    raise Http404(NO_SUCH[what])


class ProductionView(ApiView):
    """Inside one production, which `find_production` names and the permission class loads."""

    action: ClassVar[Action] = Action.READ
    write: ClassVar[Action | None] = None
    permission_classes: Sequence[Any] = (IsAuthenticated, ByPolicy)
    member: Member

    def find_production(self) -> UUID:
        """The production's id. May raise Http404."""
        production: UUID = self.kwargs["production"]
        return production

    @property
    def production(self) -> Production:
        return self.member.production

    @property
    def drawing_schema(self) -> bool:
        """The schema is made without a request, hence without a production."""
        return getattr(self, "swagger_fake_view", False)
