"""The description of the API (OpenAPI). Public: it holds no data, only shapes."""

from __future__ import annotations

from typing import ClassVar

from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework.permissions import AllowAny


@extend_schema(exclude=True)
class Schema(SpectacularJSONAPIView):
    access: ClassVar[str] = "public"
    authentication_classes = []
    permission_classes = [AllowAny]
