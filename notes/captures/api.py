"""Measurements of one input against another over the API, to read."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view

from core.api.fields import PlainSerializer
from core.api.serializers import PersonSerializer
from core.api.views import ProductionList
from notes.captures.store import pairs
from notes.models import CapturePair


class CapturesSerializer(PlainSerializer):
    """Two clips measured against each other, kept. Seconds: the second is later."""

    kept_by = PersonSerializer()

    class Meta:
        model = CapturePair
        fields: ClassVar = [
            "id",
            "rig",
            "first",
            "second",
            "through_desk",
            "method",
            "delay_s",
            "polarity",
            "source_polarity",
            "confidence",
            "alike",
            "kept_by",
            "kept_at",
        ]


@extend_schema_view(
    get=extend_schema(
        operation_id="captures_list",
        summary="Measurements of one input against another, newest first",
    )
)
class Captures(ProductionList):
    serializer_class = CapturesSerializer
    queryset = CapturePair.objects.none()
    ordering: ClassVar = ("-kept_at", "-pk")

    def rows(self) -> QuerySet[Any]:
        return pairs(self.production)
