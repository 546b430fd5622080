"""The catalogue of microphones and DIs over the API: to read, to add to, and words read as such."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.fields import PlainSerializer
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.models import Production
from rigs.inputs.device_words import MAX_LINES, Line
from rigs.inputs.new_devices import lines_of
from rigs.models import Device


class DeviceSerializer(PlainSerializer):
    class Meta:
        model = Device
        fields: ClassVar = [
            "id",
            "retired_at",
            "name",
            "maker",
            "form",
            "principle",
            "pattern",
            "sensitivity_mv_pa",
            "max_spl_db",
            "self_noise_db",
            "impedance_ohm",
            "phantom",
            "owned",
            "serials",
            "packed_in",
            "weight_kg",
            "country_of_origin",
            "worth",
            "currency",
            "notes",
        ]


class NewDeviceSerializer(DeviceSerializer):
    """A device to be made, each field said: nothing is taken from words here."""

    id = serializers.UUIDField(
        required=False, help_text="Of your own making, so that edits can point at it."
    )

    class Meta(DeviceSerializer.Meta):
        fields: ClassVar = [name for name in DeviceSerializer.Meta.fields if name != "retired_at"]
        # Whether one with the same name is there is for whoever writes it; an id is checked below.
        extra_kwargs: ClassVar = {"pattern": {"default": ""}, "phantom": {"default": False}}

    def validate_id(self, value: UUID) -> UUID:
        if Device.objects.filter(pk=value).exists():
            raise serializers.ValidationError(_("A device with this id is there already."))
        return value


def make_devices(production: Production, given: Iterable[Mapping[str, Any]]) -> list[Device]:
    """Call in a transaction. Raises ValidationError of Django for values that cannot be."""
    devices = [Device(production=production, **fields) for fields in given]
    for device in devices:
        device.full_clean()
        device.save(force_insert=True)
    return devices


class NewDevicesSerializer(serializers.Serializer[Any]):
    devices = serializers.ListField(child=NewDeviceSerializer(), min_length=1, max_length=MAX_LINES)


class LinesSerializer(serializers.Serializer[Any]):
    lines = serializers.CharField(
        max_length=12_000, help_text="One device a line: its kind, then maker and name."
    )


class LineSerializer(serializers.Serializer[Any]):
    """What was read of a line: `device` to be sent on, or what is `wrong`."""

    text = serializers.CharField()
    wrong = serializers.CharField(allow_blank=True)
    device = serializers.DictField(allow_null=True)
    assumed = serializers.ListField(child=serializers.CharField())


class ReadDevices(ProductionView):
    """Nothing is made: look at what was read, then send it to the list or with a change."""

    serializer_class = LinesSerializer
    pagination_class = None  # type: ignore[assignment]  # as many as were sent
    write: ClassVar = Action.EDIT_DEVICES

    @extend_schema(
        operation_id="devices_read",
        summary="Words read as microphones and DIs",
        request=LinesSerializer,
        responses={200: LineSerializer(many=True)},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = LinesSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        try:
            read = lines_of(self.production, sent.validated_data["lines"].splitlines())
        except ValueError as error:
            raise ValidationError({"lines": [str(error)]}) from None
        return Response([_told(line) for line in read])


def _told(line: Line) -> dict[str, Any]:
    return {
        "text": line.text,
        "wrong": line.wrong,
        "device": line.draft.fields if line.draft else None,
        "assumed": list(line.draft.assumed) if line.draft else [],
    }


@extend_schema_view(
    get=extend_schema(operation_id="devices_list", summary="Microphones and DIs, retired ones too")
)
class Devices(ProductionList):
    serializer_class = DeviceSerializer
    queryset = Device.objects.none()
    ordering: ClassVar = ("name", "pk")
    write: ClassVar = Action.EDIT_DEVICES

    @extend_schema(
        operation_id="devices_create",
        summary="Add microphones and DIs, all of them or none",
        request=NewDevicesSerializer,
        responses={201: DeviceSerializer(many=True), 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewDevicesSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        with transaction.atomic():
            made = make_devices(self.production, sent.validated_data["devices"])
        return Response(DeviceSerializer(made, many=True).data, status.HTTP_201_CREATED)

    def rows(self) -> QuerySet[Any]:
        return Device.objects.filter(production=self.production)
