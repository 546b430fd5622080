"""Voice memos over the API: what a note says of its memo, and the sound."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request

from core.api.base import ProductionView, production_of
from core.api.fields import PlainSerializer
from core.api.serializers import ErrorSerializer
from notes.memos.serve import sound_response
from notes.models import NoteMemo


class NoteMemoSerializer(PlainSerializer):
    """A voice memo. `sha256` is that of the file as it came, `seconds` its length."""

    sha256 = serializers.CharField(source="sound.sha256")
    seconds = serializers.FloatField(source="sound.seconds")

    class Meta:
        model = NoteMemo
        fields: ClassVar = ["id", "sha256", "seconds"]


class NoteMemoSound(ProductionView):
    serializer_class = NoteMemoSerializer
    queryset = NoteMemo.objects.none()

    def find_production(self) -> UUID:
        found = NoteMemo.objects.filter(pk=self.kwargs["note_memo"])
        return production_of(found, "note__production", "memo")

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """A sound is asked for, and errors are JSON all the same."""
        # Without `force` a player that accepts nothing but audio would be answered 406.
        return super().perform_content_negotiation(request, force=True)

    @extend_schema(
        operation_id="note_memos_sound",
        summary="The sound of a voice memo, compressed",
        responses={(200, "audio/mp4"): OpenApiTypes.BINARY, 304: None, 404: ErrorSerializer},
    )
    def get(self, request: Request, **_: Any) -> HttpResponseBase:
        memos = NoteMemo.objects.select_related("sound")
        memo = get_object_or_404(
            memos, pk=self.kwargs["note_memo"], note__production=self.production
        )
        return sound_response(request._request, memo)
