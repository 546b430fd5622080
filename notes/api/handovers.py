"""Published handovers, to read and to check: SHA-256 over `content` as it stands is `digest`."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.api.views import ProductionList
from notes.models import PublishedHandover


class HandoverSerializer(serializers.ModelSerializer[PublishedHandover]):
    leg = serializers.UUIDField(source="handover.leg_id")

    class Meta:
        model = PublishedHandover
        fields: ClassVar = [
            "id",
            "number",
            "leg",
            "previous",
            "digest",
            "published_by",
            "published_at",
        ]


class WholeHandoverSerializer(HandoverSerializer):
    content = serializers.CharField(
        help_text="Canonical JSON (RFC 8785), as text, so that its digest can be checked."
    )

    class Meta(HandoverSerializer.Meta):
        fields: ClassVar = [*HandoverSerializer.Meta.fields, "content"]


@extend_schema_view(
    get=extend_schema(operation_id="handovers_list", summary="Published handovers, newest first")
)
class Handovers(ProductionList):
    serializer_class = HandoverSerializer
    queryset = PublishedHandover.objects.none()
    ordering: ClassVar = ("-number",)

    def found(self) -> QuerySet[Any]:
        found = PublishedHandover.objects.filter(production=self.production)
        return found.select_related("handover").defer("content")


class OneHandover(ProductionView):
    serializer_class = WholeHandoverSerializer
    queryset = PublishedHandover.objects.none()

    def find_production(self) -> UUID:
        found = PublishedHandover.objects.filter(pk=self.kwargs["published"])
        rows = found.values_list("production", flat=True)
        if not rows:
            raise Http404("No such handover.")
        return rows[0]

    @extend_schema(operation_id="handovers_retrieve", summary="One published handover, whole")
    def get(self, request: Request, **_: Any) -> Response:
        found = get_object_or_404(
            PublishedHandover.objects.select_related("handover"), pk=self.kwargs["published"]
        )
        return Response(self.get_serializer(found).data)
