"""What differs of the gear at a show, to read."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from rigs.models import UnitAtShow
from rigs.shows.api import ShowApiView
from rigs.tonight.at_show import UnitTonight, units_at


class TonightPairSerializer(serializers.Serializer[Any]):
    """One thing that is other, with what is documented, in words."""

    heading = serializers.CharField(source="label")
    tonight = serializers.CharField()
    documented = serializers.CharField()


class TonightControlSerializer(serializers.Serializer[Any]):
    """A control as it stands at the show."""

    name = serializers.CharField()
    kind = serializers.CharField(source="style")
    setting = serializers.CharField()
    symbol = serializers.CharField()
    differs = serializers.BooleanField(source="changed")


class UnitTonightSerializer(serializers.Serializer[UnitTonight]):
    """A unit that differs at a show: `line` says all of it, `layer` for how long it holds."""

    unit = serializers.UUIDField(source="unit.id")
    rig = serializers.UUIDField(source="rig.pk")
    player = serializers.CharField(source="rig.player.name")
    name = serializers.CharField(source="unit.name")
    what = serializers.ChoiceField(choices=UnitAtShow.What.choices, source="row.what")
    layer = serializers.CharField()
    line = serializers.CharField()
    maker = serializers.CharField(source="unit.maker")
    model = serializers.CharField(source="unit.model")
    controls = TonightControlSerializer(many=True, source="unit.controls")
    differences = TonightPairSerializer(many=True, source="differs")
    why = serializers.CharField(source="row.why")
    words = serializers.CharField(source="row.words")
    by = serializers.CharField(source="row.by_name")
    at = serializers.DateTimeField(source="row.at")


class ShowGear(ShowApiView):
    serializer_class = UnitTonightSerializer

    @extend_schema(
        operation_id="show_gear_list",
        summary="The units that differ at a show from what is documented",
        responses=UnitTonightSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(units_at(self.show), many=True).data)
