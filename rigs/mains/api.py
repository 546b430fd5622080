"""The mains of a show, to read."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from rigs.mains.show_mains import Drop, Plugged, ShowMains, mains_of
from rigs.shows.api import ShowApiView


class PluggedSerializer(serializers.Serializer[Plugged]):
    """A unit. `amps` is what it takes from the house; null where that cannot be said."""

    unit = serializers.UUIDField(source="unit.pk")
    name = serializers.CharField(source="unit.name")
    rating = serializers.CharField(source="unit.mains_rating")
    watts = serializers.FloatField(allow_null=True)
    amps = serializers.FloatField(source="at.amps", allow_null=True)
    fit = serializers.SerializerMethodField()
    transformer_va = serializers.IntegerField(source="at.transformer_va", allow_null=True)
    other_hz = serializers.BooleanField(source="at.hz_differs")
    words = serializers.CharField()
    tonight = serializers.CharField()

    def get_fit(self, plugged: Plugged) -> str:
        return plugged.at.fit.name.lower()


class LoadedDropSerializer(serializers.Serializer[Drop]):
    """A drop or circuit; `limit` is the A it is stated to carry."""

    name = serializers.CharField()
    place = serializers.CharField()
    limit = serializers.FloatField(allow_null=True)
    amps = serializers.FloatField()
    unknown = serializers.IntegerField(help_text="Units whose current is not known.")
    plugged = PluggedSerializer(many=True)


class ShowMainsSerializer(serializers.Serializer[ShowMains]):
    volts = serializers.FloatField(source="house.volts", allow_null=True)
    hz = serializers.FloatField(source="house.hz", allow_null=True)
    drops = LoadedDropSerializer(many=True)
    unknown = serializers.ListField(child=serializers.CharField())


class ShowMainsView(ShowApiView):
    serializer_class = ShowMainsSerializer

    @extend_schema(
        operation_id="show_mains",
        summary="What the units that play take from the mains of the house",
        responses=ShowMainsSerializer,
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(ShowMainsSerializer(mains_of(self.show)).data)
