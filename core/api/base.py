"""What all addresses of the API share: who may call them, and how lists are paged.

A view names the `action` it is (and `write`, where writing needs another); the permission class
finds the production among the caller's own and asks the policy table, like the pages do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar
from uuid import UUID

from rest_framework.generics import GenericAPIView
from rest_framework.permissions import SAFE_METHODS, BasePermission, IsAuthenticated
from rest_framework.request import Request

from core.access.loaders import Member, load_member
from core.access.policy import Action, allowed
from core.api.pages import Pages
from core.models import Production


class ByPolicy(BasePermission):
    """404 for a production that is not the caller's, 403 for what their roles may not do."""

    message = "You are in this production, but this needs another role."

    def has_permission(self, request: Request, view: Any) -> bool:
        view.member = load_member(request.user, view.find_production())  # type: ignore[arg-type]
        action = view.action if request.method in SAFE_METHODS else (view.write or view.action)
        return allowed(view.member.roles, action)


class ApiView(GenericAPIView[Any]):
    """For anybody with a key or a session; `access` declares it to the middleware."""

    access: ClassVar[str] = "api"
    permission_classes: Sequence[Any] = (IsAuthenticated,)
    pagination_class = Pages
    ordering: ClassVar[tuple[str, ...]] = ("pk",)


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
