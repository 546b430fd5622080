"""A clip against the signed sound over the API: what differs, and what it may be."""

from __future__ import annotations

from typing import Any

import numpy as np
from django.core.exceptions import ValidationError as ImpossibleValues
from drf_spectacular.utils import extend_schema
from numpy.typing import NDArray
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.serializers import ErrorSerializer
from core.stored_files import StoredFileUnreadable
from notes.causes import words
from notes.causes.hearing import hertz
from notes.causes.signed import NoSignedSound, Tonight, against_signed
from notes.clips.api import OfClip


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
    causes = CauseSerializer(many=True)


class ChangedClip(OfClip):
    serializer_class = ChangedSerializer  # type: ignore[assignment]

    @extend_schema(
        operation_id="clips_changed",
        summary="What may have changed since the sound was signed",
        responses={200: ChangedSerializer, 422: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> Response:
        try:
            tonight = against_signed(self.clip())
        except (NoSignedSound, StoredFileUnreadable) as refusal:
            raise ImpossibleValues({"clip": str(refusal)}) from None
        return Response(ChangedSerializer(_shown(tonight)).data)


def _shown(tonight: Tonight) -> dict[str, Any]:
    ranking = tonight.ranking
    return {
        "signed": tonight.signed.pk,
        "one_performance": tonight.one_performance,
        "told": words.differences(ranking),
        "bands_hz": [round(float(each), 1) for each in hertz()],
        "change_db": _finite(ranking.change),
        "scatter_db": _finite(ranking.band),
        "scatter": ranking.scatter.words,
        "causes": [
            {
                "key": each.key,
                "named": words.named(each),
                "share": round(each.share, 4),
                "verdict": each.verdict,
                "from_size": each.low,
                "to_size": each.high,
                "explains": round(each.explains, 3),
                "in_history": each.in_history,
                "tells": each.tells,
            }
            for each in ranking.causes
        ],
    }


# JSON has neither infinity nor NaN.
def _finite(values: NDArray[np.float64]) -> list[float | None]:
    return [round(float(value), 2) if np.isfinite(value) else None for value in values]
