"""The carnet list, to read; the lines that are written for it, to write."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.api.serializers import ErrorSerializer
from rigs.carnet.by_hand import GoodsForm
from rigs.carnet.goods import Case, Goods, Sums
from rigs.carnet.journey import Journey
from rigs.carnet.load import Carnet, carnet_of
from rigs.carnet.services import take_off
from rigs.editing.form_api import NewThing, OneThing
from rigs.lists.pack import VARIANTS
from rigs.models import CarnetGoods


class GoodsSerializer(serializers.Serializer[Goods]):
    """A line. Value and weight are of all its pieces; null where nobody noted them."""

    number = serializers.IntegerField()
    name = serializers.CharField()
    what = serializers.CharField()
    pieces = serializers.IntegerField()
    serials = serializers.ListField(child=serializers.CharField())
    country = serializers.CharField(help_text="Of origin, ISO 3166-1 alpha-2.")
    value = serializers.DecimalField(
        source="worth", max_digits=16, decimal_places=3, allow_null=True
    )
    currency = serializers.CharField(help_text="ISO 4217.")
    weight_kg = serializers.DecimalField(
        source="kg", max_digits=20, decimal_places=3, allow_null=True
    )
    size = serializers.CharField()
    photo = serializers.SerializerMethodField()

    def get_photo(self, goods: Goods) -> str | None:
        return goods.photo.id if goods.photo else None


class SumsSerializer(serializers.Serializer[Sums]):
    """Sums as far as they are noted, of each currency by itself."""

    pieces = serializers.IntegerField()
    weight_kg = serializers.DecimalField(
        source="kg", max_digits=20, decimal_places=3, allow_null=True
    )
    value = serializers.DictField(
        source="worth", child=serializers.DecimalField(max_digits=16, decimal_places=3)
    )
    without_weight = serializers.IntegerField()
    without_value = serializers.IntegerField()


class CaseSerializer(serializers.Serializer[Case]):
    name = serializers.CharField()
    goods = GoodsSerializer(many=True)
    sums = SumsSerializer()


class CarnetSerializer(serializers.Serializer[Carnet]):
    cases = CaseSerializer(many=True)
    sums = SumsSerializer()
    missing = serializers.ListField(child=serializers.CharField())
    not_listed = serializers.ListField(child=serializers.CharField())


class ProductionCarnet(ProductionView):
    serializer_class = CarnetSerializer

    @extend_schema(
        operation_id="carnet",
        summary="What travels, case by case, with what a carnet wants to know",
        parameters=[
            OpenApiParameter("variant", many=True, enum=VARIANTS),
            OpenApiParameter("leg", description="What plays at any show of a leg, by its id."),
            OpenApiParameter("show", many=True, description="What plays at these shows, by id."),
        ],
        responses={200: CarnetSerializer, 404: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> Response:
        asked = [each for each in request.query_params.getlist("variant") if each in VARIANTS]
        journey = Journey.asked(self.production, request.query_params)
        carnet = carnet_of(self.production, asked or ["main"], journey.rigs())
        return Response(CarnetSerializer(carnet).data)


class CarnetLineSerializer(serializers.Serializer[Any]):
    """A line written for the list, as on the page; value and weight are of one piece, `pieces`
    null for as many as are counted of its kind. To change one all is sent, with its `version`."""

    id = serializers.UUIDField(read_only=True, source="pk")
    version = serializers.IntegerField(min_value=1, required=False)
    kind = serializers.ChoiceField(choices=CarnetGoods.Kind.choices)
    what = serializers.CharField(max_length=120)
    pieces = serializers.IntegerField(min_value=1, allow_null=True, default=None)
    packed_in = serializers.CharField(max_length=80, allow_blank=True, default="")
    country_of_origin = serializers.CharField(
        max_length=2, allow_blank=True, default="", help_text="ISO 3166-1 alpha-2."
    )
    worth = serializers.DecimalField(13, 3, allow_null=True, default=None)
    currency = serializers.CharField(
        max_length=3, allow_blank=True, default="", help_text="ISO 4217."
    )
    weight_kg = serializers.DecimalField(9, 3, allow_null=True, default=None)
    size = serializers.CharField(max_length=60, allow_blank=True, default="")
    serial = serializers.CharField(max_length=200, allow_blank=True, default="")


@extend_schema_view(
    post=extend_schema(
        operation_id="carnet_line_create",
        summary="Write a line for the carnet list: stands, leads, cables, spares, anything else",
        responses={201: CarnetLineSerializer, 400: ErrorSerializer},
    )
)
class CarnetLines(NewThing):
    serializer_class = CarnetLineSerializer
    model, form_class, named = CarnetGoods, GoodsForm, "goods"


@extend_schema_view(
    get=extend_schema(operation_id="carnet_line_retrieve", summary="A line that was written"),
    put=extend_schema(
        operation_id="carnet_line_update",
        summary="Change a line that was written",
        responses={200: CarnetLineSerializer, 400: ErrorSerializer},
    ),
    delete=extend_schema(
        operation_id="carnet_line_destroy", summary="Take a line off", responses={204: None}
    ),
)
class CarnetLine(OneThing):
    serializer_class = CarnetLineSerializer
    model, form_class, named, retire = CarnetGoods, GoodsForm, "goods", take_off
