"""The input list of one show, to read."""

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
from rigs.lists.input_list import DayInput
from rigs.models import ShowInput
from rigs.shows.services import rows_of


class DifferenceSerializer(serializers.Serializer[Any]):
    """One value of an input that is not that of the list, in the words of the list’s export."""

    field = serializers.CharField(source="key")
    heading = serializers.CharField()
    old = serializers.CharField()
    new = serializers.CharField()


class DayInputSerializer(serializers.Serializer[DayInput]):
    """An input as it is at that show; `differences` say what the list has instead."""

    input = serializers.UUIDField(source="entry.pk")
    rig = serializers.UUIDField(source="entry.rig_id")
    name = serializers.CharField(source="entry.name")
    player = serializers.CharField(source="entry.rig.player.name")
    number = serializers.IntegerField(source="entry.number", allow_null=True)
    device = serializers.UUIDField(source="entry.device_id", allow_null=True)
    stand = serializers.CharField(source="entry.stand")
    stage_position = serializers.CharField(source="entry.stage_position")
    phantom = serializers.BooleanField(source="entry.phantom")
    pad_db = serializers.CharField(source="entry.pad_db", allow_null=True)
    gain_db = serializers.CharField(source="entry.gain_db", allow_null=True)
    high_pass_hz = serializers.CharField(source="entry.high_pass_hz", allow_null=True)
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


class ShowInputs(ProductionView):
    """Below one show, whose production is the caller's or the show is not there for them."""

    serializer_class = DayInputSerializer
    pagination_class = None  # type: ignore[assignment]  # a list is read whole
    show: Show

    def find_production(self) -> UUID:
        try:
            self.show = Show.objects.select_related("leg__production").get(pk=self.kwargs["show"])
        except Show.DoesNotExist:
            raise Http404("No such show.") from None
        return self.show.leg.production_id

    @extend_schema(
        operation_id="show_inputs_list",
        summary="The input list of one show, of the rigs that play",
        responses=DayInputSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(rows_of(self.show), many=True).data)
