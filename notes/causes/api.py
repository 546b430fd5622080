"""A clip against the signed sound over the API: what differs, what it may be, what it was."""

from __future__ import annotations

from typing import Any, ClassVar, cast
from uuid import UUID

import numpy as np
from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from numpy.typing import NDArray
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.queries import Here, ListQuery
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.languages.words import told
from core.models import User
from core.stored_files import StoredFileUnreadable
from notes.causes import words
from notes.causes.hearing import hertz
from notes.causes.rank import Cause
from notes.causes.signed import NoSignedSound, Tonight, against_signed
from notes.causes.taken_up import (
    Outcome,
    Tally,
    named_in,
    say_outcome,
    take_up,
    tallies,
)
from notes.clips.api import OfClip
from notes.models import CauseOutcome, Clip, NamedCause


class CauseSerializer(serializers.Serializer[Any]):
    key = serializers.CharField(help_text="`nothing` and `none` among the kinds of causes.")
    named = serializers.CharField()
    share = serializers.FloatField(help_text="Of the evidence, 0 to 1.")
    verdict = serializers.CharField()
    from_size = serializers.CharField(allow_blank=True)
    to_size = serializers.CharField(allow_blank=True)
    explains = serializers.FloatField(help_text="Of what is larger than scatter, 0 to 1.")
    in_history = serializers.BooleanField()
    tells = serializers.CharField(allow_blank=True)
    said = serializers.IntegerField(help_text="How often this kind was taken up here.")
    was = serializers.IntegerField(help_text="How often it was that.")
    was_not = serializers.IntegerField()


class MomentSerializer(serializers.Serializer[Any]):
    """A change between the signature and the clip, by its number, and what it did that holds."""

    change = serializers.IntegerField()
    at = serializers.DateTimeField()
    told = serializers.ListField(child=serializers.CharField())
    could_be = serializers.ListField(child=serializers.CharField())


class ChangedSerializer(serializers.Serializer[Any]):
    """A clip against the newest signed clip of its input. Levels in dB, one for each of
    `bands_hz`; `scatter_db`: how far takes differ by themselves."""

    signed = serializers.UUIDField()
    one_performance = serializers.BooleanField()
    told = serializers.ListField(child=serializers.CharField())
    bands_hz = serializers.ListField(child=serializers.FloatField())
    change_db = serializers.ListField(child=serializers.FloatField(allow_null=True))
    scatter_db = serializers.ListField(child=serializers.FloatField(allow_null=True))
    scatter = serializers.CharField()
    scatter_kept_at = serializers.DateTimeField(
        allow_null=True, help_text="Since when it is on record with the signature."
    )
    scatter_seal = serializers.CharField(allow_null=True)
    since = MomentSerializer(many=True)
    causes = CauseSerializer(many=True)


class OutcomeSerializer(serializers.ModelSerializer[CauseOutcome]):
    outcome = serializers.ChoiceField(Outcome.choices)

    class Meta:
        model = CauseOutcome
        fields: ClassVar = ["outcome", "words", "by_name", "at"]
        read_only_fields: ClassVar = ["by_name", "at"]


class NamedCauseSerializer(serializers.ModelSerializer[NamedCause]):
    """A cause that was taken up. `outcome` is the newest of `outcomes`, undecided without one."""

    outcome = serializers.ChoiceField(Outcome.choices, read_only=True)
    outcomes = OutcomeSerializer(many=True, read_only=True)

    class Meta:
        model = NamedCause
        fields: ClassVar = [
            "id",
            "clip",
            "sign_off",
            "note",
            "kind",
            "words",
            "place",
            "share",
            "method",
            "by_name",
            "at",
            "outcome",
            "outcomes",
        ]


class TakenUpSerializer(serializers.Serializer[Any]):
    cause = serializers.CharField(max_length=40, help_text="The key of one of the causes.")


class CauseQuery(ListQuery):
    clip = Here(Clip)
    kind = serializers.CharField(required=False, max_length=40)


class Causes(ProductionList):
    serializer_class = NamedCauseSerializer
    queryset = NamedCause.objects.none()
    ordering: ClassVar = ("-at", "-pk")

    @extend_schema(
        operation_id="causes_list",
        summary="Causes that were taken up, newest first",
        parameters=[CauseQuery],
    )
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    def rows(self) -> QuerySet[Any]:
        asked = CauseQuery.of(self.request, self.production)
        return named_in(self.production).filter(**asked).prefetch_related("outcomes")


class OutcomesOfCause(ProductionView):
    serializer_class = NamedCauseSerializer
    queryset = NamedCause.objects.none()
    write: ClassVar = Action.WRITE_NOTE

    def find_production(self) -> UUID:
        rows = NamedCause.objects.filter(pk=self.kwargs["cause"])
        return production_of(rows, "clip__production", "cause")

    @extend_schema(
        operation_id="causes_outcomes_create",
        summary="Say how a cause turned out",
        request=OutcomeSerializer,
        responses={201: NamedCauseSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = OutcomeSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        cause = get_object_or_404(NamedCause, pk=self.kwargs["cause"])
        given, by = sent.validated_data, cast("User", request.user)
        say_outcome(cause, given["outcome"], given.get("words", ""), by=by)
        return Response(_named(self, cause), status.HTTP_201_CREATED)


class ChangedClip(OfClip):
    serializer_class = ChangedSerializer  # type: ignore[assignment]
    write: ClassVar = Action.WRITE_NOTE

    @extend_schema(
        operation_id="clips_changed_take_up",
        summary="Take a cause up: written down as a note, once for each clip and signature",
        request=TakenUpSerializer,
        responses={201: NamedCauseSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = TakenUpSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        by = cast("User", request.user)
        made = take_up(self._tonight(), sent.validated_data["cause"], by=by)
        return Response(_named(self, made), status.HTTP_201_CREATED)

    @extend_schema(
        operation_id="clips_changed",
        summary="What may have changed since the sound was signed",
        responses={200: ChangedSerializer, 422: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(ChangedSerializer(_shown(self._tonight())).data)

    def _tonight(self) -> Tonight:
        try:
            return against_signed(self.clip())
        except (NoSignedSound, StoredFileUnreadable) as refusal:
            raise ImpossibleValues({"clip": str(refusal)}) from None


def _named(view: ProductionView, cause: NamedCause) -> Any:
    shown = named_in(view.production).prefetch_related("outcomes").get(pk=cause.pk)
    return NamedCauseSerializer(shown).data


def _shown(tonight: Tonight) -> dict[str, Any]:
    ranking, counted = tonight.ranking, tallies(tonight.clip.production)
    return {
        "signed": tonight.signed.pk,
        "one_performance": tonight.one_performance,
        "told": [told(each) for each in words.differences(ranking)],
        "bands_hz": [round(float(each), 1) for each in hertz()],
        "change_db": _finite(ranking.change),
        "scatter_db": _finite(ranking.band),
        "scatter": told(ranking.scatter.words),
        "scatter_kept_at": tonight.kept.measured_at if tonight.kept else None,
        "scatter_seal": tonight.kept.seal if tonight.kept else None,
        "since": [
            {
                "change": each.revision.number if each.revision else 0,
                "at": each.at,
                "told": each.lines,
                "could_be": each.fits,
            }
            for each in tonight.history.changes
        ],
        "causes": [_cause(each, counted.get(each.key, Tally())) for each in ranking.causes],
    }


def _cause(cause: Cause, tally: Tally) -> dict[str, Any]:
    return {
        "key": cause.key,
        "named": told(words.named(cause)),
        "share": round(cause.share, 4),
        "verdict": cause.verdict,
        "from_size": told(cause.low),
        "to_size": told(cause.high),
        "explains": round(cause.explains, 3),
        "in_history": cause.in_history,
        "tells": told(cause.tells),
        "said": tally.said,
        "was": tally.was,
        "was_not": tally.was_not,
    }


# JSON has neither infinity nor NaN.
def _finite(values: NDArray[np.float64]) -> list[float | None]:
    return [round(float(value), 2) if np.isfinite(value) else None for value in values]
