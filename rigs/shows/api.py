"""The input list and the findings of one show, to read."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.models import Show
from rigs.checks.acceptance import findings_with_words_at
from rigs.checks.api import FindingSerializer
from rigs.checks.run import stage_findings
from rigs.fields import PartField, ValueKind
from rigs.lists.input_list import DayInput
from rigs.models import Input, ShowInput
from rigs.shows.services import rows_of
from rigs.shows.stage import stage_of


class DifferenceSerializer(serializers.Serializer[Any]):
    """One value of an input that is not that of the list, in the words of the list’s export."""

    field = serializers.CharField(source="key")
    heading = serializers.CharField()
    old = serializers.CharField()
    new = serializers.CharField()


_FIELDS: dict[ValueKind, Any] = {
    ValueKind.WHOLE: serializers.IntegerField,
    ValueKind.POINTER: serializers.UUIDField,
    ValueKind.YES_NO: serializers.BooleanField,
}


def _of_entry(row: PartField) -> dict[str, Any]:
    """The fields of what may differ at a show: a length as metres and unit."""
    kind = _FIELDS.get(row.kind, serializers.CharField)
    ending = "_id" if row.kind is ValueKind.POINTER else ""
    empty = {"allow_null": True} if Input._meta.get_field(row.name).null else {}
    first = {row.name: kind(source=f"entry.{row.name}{ending}", **empty)}
    unit = row.unit_field
    return first | ({unit: serializers.CharField(source=f"entry.{unit}")} if unit else {})


class DayInputSerializer(serializers.Serializer[DayInput]):
    """An input as it is at that show, with what may differ there (the rows of inputs say which);
    `differences` say what the list has instead."""

    input = serializers.UUIDField(source="entry.pk")
    rig = serializers.UUIDField(source="entry.rig_id")
    name = serializers.CharField(source="entry.name")
    player = serializers.CharField(source="entry.rig.player.name")
    absent = serializers.BooleanField()
    hired_locally = serializers.BooleanField()
    why = serializers.ChoiceField(
        choices=[("", ""), *ShowInput._meta.get_field("why").flatchoices],
        source="difference.why",
        default="",
    )
    words = serializers.CharField(source="difference.words", default="")
    differences = DifferenceSerializer(source="differs", many=True)
    cautions = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        fields: dict[str, Any] = {}
        for name, stated in super().get_fields().items():
            fields[name] = stated
            if name == "player":
                for row in ShowInput.ROWS:
                    fields |= _of_entry(row)
        return fields


class ShowApiView(ProductionView):
    """Below one show, whose production is the caller's or the show is not there for them."""

    pagination_class = None  # type: ignore[assignment]  # a list is read whole
    show: Show

    def find_production(self) -> UUID:
        try:
            self.show = Show.objects.select_related("leg__production").get(pk=self.kwargs["show"])
        except Show.DoesNotExist:
            raise Http404("No such show.") from None
        return self.show.leg.production_id


class ShowInputs(ShowApiView):
    serializer_class = DayInputSerializer

    @extend_schema(
        operation_id="show_inputs_list",
        summary="The input list of one show, of the rigs that play",
        responses=DayInputSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(rows_of(self.show), many=True).data)


class ShowFindings(ShowApiView):
    serializer_class = FindingSerializer

    @extend_schema(
        operation_id="show_findings_list",
        summary="What is found on the rigs that play at a show, beside each other",
        responses=FindingSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        found = findings_with_words_at(self.show, stage_findings(stage_of(self.show)))
        return Response(self.get_serializer(found, many=True).data)
