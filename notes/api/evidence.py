"""What was heard and measured, to read: clips side by side, blind trials, two captures."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

import numpy as np
from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import Prefetch, QuerySet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiParameter,
    extend_schema,
    extend_schema_field,
    extend_schema_view,
)
from numpy.typing import NDArray
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.base import ProductionView
from core.api.fields import PlainSerializer
from core.api.serializers import ErrorSerializer, PersonSerializer
from core.api.views import ProductionList
from notes.blind.results import results_of
from notes.captures.store import pairs
from notes.comparing.evidence import clips_of
from notes.comparing.sides import CannotCompare, Side, SideBySide, side_by_side
from notes.listening.bands import NOMINAL
from notes.listening.blind import Judged
from notes.listening.caveats import Against, caveats_of
from notes.models import BlindSitting, BlindTrial, CapturePair, Clip


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
            found = side_by_side(self._asked_for(request))
        except CannotCompare as refusal:
            raise ImpossibleValues({"clip": str(refusal)}) from None
        return Response(_comparison(found))

    def _asked_for(self, request: Request) -> list[Clip]:
        try:
            wanted = list(dict.fromkeys(map(UUID, request.query_params.getlist("clip"))))
        except ValueError:
            raise serializers.ValidationError({"clip": "This is not an id."}) from None
        found = {clip.pk: clip for clip in clips_of(self.production).filter(pk__in=wanted[:60])}
        if len(found) < len(wanted):
            raise serializers.ValidationError({"clip": "This production has none such."})
        return [found[key] for key in wanted]


def _comparison(found: SideBySide) -> dict[str, Any]:
    return {
        "seconds": found.seconds,
        "bands_hz": list(NOMINAL),
        "clips": [_side(side, found.first) for side in found.sides],
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
        "lead_s": round(side.lead_s, 6),
        "delay_s": None if delay_s is None else round(delay_s, 6),
        "polarity": relation.polarity if relation else None,
        "one_performance": one,
        "levels_db": _finite(side.heard.bands.levels + side.gain_db),
        "change_db": _finite(reading.change) if reading else None,
        "counts_from_db": _finite(reading.least) if reading else None,
        "told": reading.words if reading else [],
        "unsaid": caveats_of(first.heard, against),
    }


def _finite(values: NDArray[np.float64]) -> list[float | None]:
    return [round(float(value), 2) if np.isfinite(value) else None for value in values]


class ResultSerializer(serializers.Serializer[Any]):
    rounds = serializers.IntegerField()
    right = serializers.IntegerField()
    prefers_a = serializers.IntegerField()
    prefers_b = serializers.IntegerField()
    chance = serializers.FloatField(help_text="Exact probability of that or better by guessing.")
    raised_chance = serializers.FloatField(
        help_text="The same after Holm, for all results that are judged at once."
    )
    told_apart = serializers.BooleanField(help_text="Whether that is one in twenty at most.")
    words = serializers.CharField()


class SittingSerializer(serializers.Serializer[Any]):
    """One listener, `answered` rounds on. `order` and `nonce` are null while it is open."""

    listener = PersonSerializer()
    began_at = serializers.DateTimeField()
    answered = serializers.IntegerField()
    seal = serializers.CharField(help_text="SHA-256, fixed before the first sound.")
    result = ResultSerializer(allow_null=True)
    order = serializers.JSONField(allow_null=True)
    nonce = serializers.CharField(allow_null=True)


class BlindTrialSerializer(PlainSerializer):
    """Results are null until it is closed, or all have listened to the end who were to."""

    opened_by = PersonSerializer()
    sittings = serializers.SerializerMethodField()

    class Meta:
        model = BlindTrial
        fields: ClassVar = [
            "id",
            "trial",
            "clip_a",
            "clip_b",
            "gain_a_db",
            "gain_b_db",
            "one_performance",
            "rounds",
            "listeners",
            "opened_by",
            "opened_at",
            "closed_at",
            "outcome",
            "sittings",
        ]

    @extend_schema_field(SittingSerializer(many=True))
    def get_sittings(self, blind: BlindTrial) -> list[dict[str, Any]]:
        found = results_of(blind, self.context["request"].user)
        judged = found.judged_by_sitting()
        rows = [_sitting(blind, each, judged.get(each.pk)) for each in found.sittings]
        return list(SittingSerializer(rows, many=True).data)


def _sitting(blind: BlindTrial, sitting: BlindSitting, judged: Judged | None) -> dict[str, Any]:
    closed = not blind.is_open
    return {
        "listener": sitting.user,
        "began_at": sitting.began_at,
        "answered": len(sitting.answers.all()),
        "seal": sitting.seal,
        "result": _result(judged) if judged else None,
        "order": sitting.order if closed else None,
        "nonce": sitting.nonce if closed else None,
    }


def _result(judged: Judged) -> dict[str, Any]:
    result = judged.result
    return {
        "rounds": result.rounds,
        "right": result.right,
        "prefers_a": result.prefers_a,
        "prefers_b": result.prefers_b,
        "chance": float(result.chance),
        "raised_chance": float(judged.raised),
        "told_apart": judged.told_apart,
        "words": judged.words,
    }


@extend_schema_view(
    get=extend_schema(operation_id="blind_trials_list", summary="Blind trials, newest first")
)
class BlindTrials(ProductionList):
    serializer_class = BlindTrialSerializer
    queryset = BlindTrial.objects.none()
    ordering: ClassVar = ("-opened_at", "-pk")

    def found(self) -> QuerySet[Any]:
        listened = BlindSitting.objects.select_related("user").prefetch_related("answers")
        return (
            BlindTrial.objects.filter(production=self.production)
            .select_related("opened_by", "clip_a", "clip_b")
            .prefetch_related(Prefetch("sittings", listened))
        )


class CapturesSerializer(PlainSerializer):
    """Two clips measured against each other, kept. Seconds: the second is later."""

    kept_by = PersonSerializer()

    class Meta:
        model = CapturePair
        fields: ClassVar = [
            "id",
            "rig",
            "first",
            "second",
            "through_desk",
            "method",
            "delay_s",
            "polarity",
            "source_polarity",
            "confidence",
            "alike",
            "kept_by",
            "kept_at",
        ]


@extend_schema_view(
    get=extend_schema(
        operation_id="captures_list",
        summary="Measurements of one input against another, newest first",
    )
)
class Captures(ProductionList):
    serializer_class = CapturesSerializer
    queryset = CapturePair.objects.none()
    ordering: ClassVar = ("-kept_at", "-pk")

    def found(self) -> QuerySet[Any]:
        return pairs(self.production)
