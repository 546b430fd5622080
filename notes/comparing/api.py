"""Clips side by side over the API, as the page plays and reads them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import numpy as np
from django.core.exceptions import ValidationError as ImpossibleValues
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from numpy.typing import NDArray
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.api.serializers import ErrorSerializer
from core.languages.words import told
from notes.comparing.evidence import clips_of
from notes.comparing.sides import CannotCompare, Side, SideBySide, side_by_side
from notes.listening.bands import NOMINAL
from notes.listening.caveats import Against, caveats_of
from notes.models import Clip


def _levels(help_text: str) -> serializers.ListField:
    each = serializers.FloatField(allow_null=True)
    return serializers.ListField(child=each, allow_null=True, help_text=help_text)


class SideSerializer(serializers.Serializer[Any]):
    clip = serializers.UUIDField()
    letter = serializers.CharField()
    gain_db = serializers.FloatField(help_text="What it is played with to be as loud as the rest.")
    lead_s = serializers.FloatField(help_text="Where in it the time lies that all have in common.")
    delay_s = serializers.FloatField(
        allow_null=True, help_text="Against the first; null where it is not sure."
    )
    polarity = serializers.IntegerField(
        allow_null=True, help_text="1 or −1 against the first; null where it is not sure."
    )
    one_performance = serializers.BooleanField(allow_null=True)
    levels_db = _levels("As played, dBFS; one for each of bands_hz.")
    change_db = _levels("Against the first, dB. Null for the first.")
    counts_from_db = _levels("The least change that counts; null where none does.")
    told = serializers.ListField(child=serializers.CharField())
    unsaid = serializers.ListField(child=serializers.CharField())


class ComparisonSerializer(serializers.Serializer[Any]):
    """Two to six clips of one input, as the page plays and reads them."""

    seconds = serializers.FloatField()
    bands_hz = serializers.ListField(child=serializers.FloatField())
    clips = SideSerializer(many=True)


class Comparison(ProductionView):
    serializer_class = ComparisonSerializer
    queryset = Clip.objects.none()

    @extend_schema(
        operation_id="comparison_retrieve",
        summary="Clips of one input side by side",
        parameters=[OpenApiParameter("clip", OpenApiTypes.UUID, many=True, required=True)],
        responses={200: ComparisonSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> Response:
        try:
            comparison = side_by_side(self._asked_for(request))
        except CannotCompare as refusal:
            raise ImpossibleValues({"clip": str(refusal)}) from None
        return Response(_comparison(comparison))

    def _asked_for(self, request: Request) -> list[Clip]:
        try:
            ids = list(dict.fromkeys(map(UUID, request.query_params.getlist("clip"))))
        except ValueError:
            raise serializers.ValidationError({"clip": _("This is not an id.")}) from None
        # An address may name thousands. No more than these are looked for, and the rest counts as
        # missing.
        by_id = {clip.pk: clip for clip in clips_of(self.production).filter(pk__in=ids[:60])}
        if len(by_id) < len(ids):
            raise serializers.ValidationError({"clip": _("This production has none such.")})
        return [by_id[key] for key in ids]


def _comparison(comparison: SideBySide) -> dict[str, Any]:
    return {
        "seconds": comparison.seconds,
        "bands_hz": list(NOMINAL),
        "clips": [_side(side, comparison.first) for side in comparison.sides],
    }


def _side(side: Side, first: Side) -> dict[str, Any]:
    reading, relation = side.reading, side.relation
    against = [Against(side.heard, relation)] if relation else []
    one = relation.one_performance if relation else None
    delay_s = relation.delay_s if relation else None
    return {
        "clip": side.clip.pk,
        "letter": side.letter,
        "gain_db": round(side.gain_db, 3),
        # To a microsecond: at the highest rate that is taken a sample lasts five.
        "lead_s": round(side.lead_s, 6),
        "delay_s": None if delay_s is None else round(delay_s, 6),
        "polarity": relation.polarity if relation else None,
        "one_performance": one,
        "levels_db": _finite(side.heard.bands.levels + side.gain_db),
        "change_db": _finite(reading.change) if reading else None,
        "counts_from_db": _finite(reading.least) if reading else None,
        "told": [told(each) for each in reading.words] if reading else [],
        "unsaid": [told(each) for each in caveats_of(first.heard, against)],
    }


# JSON has neither infinity nor NaN.
def _finite(values: NDArray[np.float64]) -> list[float | None]:
    return [round(float(value), 2) if np.isfinite(value) else None for value in values]
