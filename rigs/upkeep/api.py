"""What was changed when over the API, to read."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Exists, OuterRef, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers

from core.api.fields import PlainSerializer
from core.api.views import ProductionList
from rigs.models import UpkeepEntry


class UpkeepSerializer(PlainSerializer):
    """That something was changed; what it is stands in the rig's snapshot, by its id."""

    taken_back = serializers.BooleanField(
        source="was_taken_back", help_text="It was noted by mistake."
    )

    class Meta:
        model = UpkeepEntry
        fields: ClassVar = [
            "id",
            "rig",
            "spare",
            "said_of",
            "show",
            "done_on",
            "words",
            "by_name",
            "at",
            "taken_back",
        ]


@extend_schema_view(
    get=extend_schema(operation_id="upkeep_list", summary="What was changed when, newest first")
)
class Upkeep(ProductionList):
    serializer_class = UpkeepSerializer
    queryset = UpkeepEntry.objects.none()
    ordering: ClassVar = ("-at", "pk")

    def rows(self) -> QuerySet[Any]:
        gone = UpkeepEntry.objects.filter(takes_back=OuterRef("pk"))
        entries = UpkeepEntry.objects.filter(rig__production=self.production, takes_back=None)
        return entries.annotate(was_taken_back=Exists(gone))
