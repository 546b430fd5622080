"""The catalogue of microphones and DIs over the API, to read."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view

from core.api.fields import PlainSerializer
from core.api.views import ProductionList
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
            "notes",
        ]


@extend_schema_view(
    get=extend_schema(operation_id="devices_list", summary="Microphones and DIs, retired ones too")
)
class Devices(ProductionList):
    serializer_class = DeviceSerializer
    queryset = Device.objects.none()
    ordering: ClassVar = ("name", "pk")

    def rows(self) -> QuerySet[Any]:
        return Device.objects.filter(production=self.production)
