"""What is held of whoever asks, over the API."""

from __future__ import annotations

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ApiView
from notes.forgetting.held import held_of


class Held(ApiView):
    """Everything that is held of you, as one document."""

    @extend_schema(
        responses=OpenApiTypes.OBJECT, operation_id="held_of_me", summary="What is held of you"
    )
    def get(self, request: Request) -> Response:
        return Response(held_of(request.user))  # type: ignore[arg-type]
