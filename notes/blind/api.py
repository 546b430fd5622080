"""Blind trials over the API, with the results that may be read by now."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers

from core.api.fields import PlainSerializer
from core.api.serializers import PersonSerializer
from core.api.views import ProductionList
from core.languages.words import told
from notes.blind.results import results_of
from notes.listening.blind import Judged
from notes.models import BlindSitting, BlindTrial


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

    listener = PersonSerializer(allow_null=True)
    player = serializers.UUIDField(
        allow_null=True, help_text="The musician, where one listened by a link."
    )
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
        results = results_of(blind, self.context["request"].user)
        judged = results.judged_by_sitting()
        rows = [_sitting(blind, each, judged.get(each.pk)) for each in results.sittings]
        return list(SittingSerializer(rows, many=True).data)


def _sitting(blind: BlindTrial, sitting: BlindSitting, judged: Judged | None) -> dict[str, Any]:
    closed = not blind.is_open
    return {
        "listener": sitting.user,
        "player": sitting.player_id,
        "began_at": sitting.began_at,
        "answered": len(sitting.answers.all()),
        "seal": sitting.seal,
        "result": _result(judged) if judged else None,
        # While the trial is open these would give the answers away.
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
        "words": told(judged.words),
    }


@extend_schema_view(
    get=extend_schema(operation_id="blind_trials_list", summary="Blind trials, newest first")
)
class BlindTrials(ProductionList):
    serializer_class = BlindTrialSerializer
    queryset = BlindTrial.objects.none()
    ordering: ClassVar = ("-opened_at", "-pk")

    def rows(self) -> QuerySet[Any]:
        listened = BlindSitting.objects.select_related("user").prefetch_related("answers")
        return (
            BlindTrial.objects.filter(production=self.production)
            .select_related("opened_by", "clip_a", "clip_b")
            .prefetch_related(Prefetch("sittings", listened))
        )
