"""The scale of a whole unit over the API."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar
from uuid import UUID

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.errors import ApiError
from core.api.serializers import ErrorSerializer
from rigs.api.change import change
from rigs.api.serializers import ConflictSerializer, WrittenSerializer, head_of
from rigs.api.views import RigApiView
from rigs.changes.reasons import NO_REASON
from rigs.dial_scales import STYLES, Keep, Reading, Scale
from rigs.models import Unit
from rigs.settings_of_controls import Style
from rigs.units.scale import ScaleRow, dials_of, edits_of, rows_of, setting_of
from rigs.units.scale_forms import BACKWARDS

READINGS = [(each.value, each.value) for each in Reading]
KEEPS = [(each.value, each.value) for each in Keep]


class NewScaleSerializer(serializers.Serializer[Any]):
    """The scale that all dials of a unit get, and what stays: the pointers or the figures."""

    base = serializers.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        help_text="The number of the newest change you have seen of this rig.",
    )
    to = serializers.ChoiceField(choices=READINGS)
    low = serializers.DecimalField(
        8, 3, required=False, default=Decimal(0), help_text="With `numbers`."
    )
    high = serializers.DecimalField(
        8, 3, required=False, default=Decimal(10), help_text="With `numbers`."
    )
    keep = serializers.ChoiceField(choices=KEEPS)
    settings = serializers.DictField(
        child=serializers.CharField(max_length=120),
        required=False,
        default=dict,
        help_text="By id of the part: how it stands where its setting cannot stay.",
    )

    def validate(self, data: dict[str, Any]) -> dict[str, Any]:
        if data["to"] == Reading.NUMBERS and data["low"] >= data["high"]:
            raise serializers.ValidationError({"high": [BACKWARDS]})
        return data

    def scale_given(self) -> Scale:
        given = self.validated_data
        if given["to"] == Reading.CLOCK:
            return Scale(Style.CLOCK)
        return Scale(STYLES[Reading.NUMBERS], given["low"], given["high"])


class UndecidedSettingSerializer(serializers.Serializer[Any]):
    """A dial, or what a song or scene says of it, that has no such setting on the new scale."""

    part = serializers.UUIDField()
    name = serializers.CharField()
    said_in = serializers.CharField(
        help_text="The song or scene that says it; empty for the dial itself."
    )
    now = serializers.CharField()
    why = serializers.CharField()


class ScaleRefusedSerializer(ErrorSerializer):
    settings = UndecidedSettingSerializer(
        many=True, required=False, help_text="With `settings_undecided`."
    )


class UnitScale(RigApiView):
    serializer_class = WrittenSerializer
    write: ClassVar = Action.EDIT_RIG

    @extend_schema(
        operation_id="unit_scale_create",
        summary="Read all dials of a unit on another scale",
        request=NewScaleSerializer,
        responses={
            201: WrittenSerializer,
            200: WrittenSerializer,
            400: ScaleRefusedSerializer,
            409: ConflictSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, unit: UUID, **_: Any) -> Response:
        dials = dials_of(get_object_or_404(Unit.objects.live(), pk=unit, rig=self.rig))
        sent = NewScaleSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        given, new = sent.validated_data, sent.scale_given()
        rows = rows_of(dials, new)
        settings = _settings(rows, new, Keep(given["keep"]), given["settings"])
        revision = change(
            self.rig,
            edits_of(rows, new, settings),
            author=request.user,  # type: ignore[arg-type]
            base=given["base"],
            reason=NO_REASON,
        )
        readings: list[Any] = []  # a scale leaves none in doubt
        written = {"head": head_of(self.rig), "revision": revision, "readings": readings}
        return Response(
            WrittenSerializer(written).data,
            status.HTTP_201_CREATED if revision else status.HTTP_200_OK,
        )


def _settings(
    rows: list[ScaleRow], new: Scale, keep: Keep, said: Mapping[str, str]
) -> dict[str, str]:
    """How each row stands on the new scale, by part. Raises ApiError with all that are open."""
    settings: dict[str, str] = {}
    undecided: list[dict[str, str]] = []
    for row in rows:
        try:
            settings[row.part] = setting_of(row, new, keep, said.get(row.part, ""))
        except ValueError as error:
            about = {"part": row.part, "name": row.name, "said_in": row.said_in}
            undecided.append({**about, "now": row.now.setting, "why": str(error)})
    if undecided:
        raise ApiError(
            status.HTTP_400_BAD_REQUEST,
            "settings_undecided",
            _("Some settings are not on the new scale: say in “{field}” how they stand.").format(
                field="settings"
            ),
            settings=undecided,
        )
    return settings
