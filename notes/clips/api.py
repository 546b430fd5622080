"""Clips over the API: list, one with its figures, its sound, bring one."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from django.http import HttpResponseBase
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.fields import PlainSerializer
from core.api.queries import Here, ListQuery
from core.api.serializers import ErrorSerializer, PersonSerializer
from core.api.views import ProductionList
from core.models import Section, Song
from notes.clips.ranges import copy_response
from notes.clips.services import upload_clip
from notes.clips.storage import COPIES
from notes.clips.upkeep import update_figures
from notes.models import Clip, ListeningSession, Note, StoredSound
from notes.queries import clips_of
from rigs.models import Input, Revision, Rig


class SoundSerializer(PlainSerializer):
    """The file as it came. `said` is what a broadcast wave says of itself. `beginning`: exact, or
    stated where silence that the encoder put before it is taken off, or unknown."""

    class Meta:
        model = StoredSound
        fields: ClassVar = [
            "sha256",
            "bytes",
            "name",
            "format",
            "rate_hz",
            "channels",
            "seconds",
            "said",
            "beginning",
        ]


class ClipSerializer(PlainSerializer):
    """A clip. `figures` are in LUFS, LU, dBTP, dBFS, dB and Hz; null where there is no value.
    `working` and `preview` are the SHA-256 of its lossless and its small copy."""

    revision = serializers.IntegerField(
        source="revision.number", help_text="The number of the change it was recorded at."
    )
    sound = SoundSerializer()
    brought_by = PersonSerializer()

    class Meta:
        model = Clip
        fields: ClassVar = [
            "id",
            "rig",
            "input",
            "revision",
            "song",
            "section",
            "session",
            "note",
            "name",
            "take",
            "words",
            "left",
            "right",
            "starts_s",
            "seconds",
            "recorded_at",
            "gain_db",
            "working",
            "preview",
            "method",
            "figures",
            "sound",
            "brought_by",
            "brought_at",
            "retired_at",
        ]


class NewClipSerializer(ListQuery):
    """What is sent to bring a clip, as multipart/form-data. Without `revision`: the rig's newest
    change; without `seconds`: to the end."""

    file = serializers.FileField(allow_empty_file=True)
    rig = Here(Rig)
    input = Here(Input, "rig__production")
    revision = serializers.IntegerField(required=False, min_value=1)
    song = Here(Song)
    section = Here(Section, "song__production")
    session = Here(ListeningSession)
    note = Here(Note)
    title = serializers.CharField(required=False, max_length=120)
    take = serializers.CharField(required=False, max_length=120)
    words = serializers.CharField(required=False, max_length=2000)
    left = serializers.IntegerField(required=False, min_value=1)
    right = serializers.IntegerField(required=False, min_value=1)
    starts_s = serializers.DecimalField(
        required=False, min_value=0, max_digits=10, decimal_places=4
    )
    seconds = serializers.DecimalField(required=False, min_value=0, max_digits=10, decimal_places=4)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        missing = {name: _("This is needed.") for name in ("rig", "input") if name not in attrs}
        if missing:
            raise serializers.ValidationError(missing)
        return attrs


class ClipQuery(ListQuery):
    rig = Here(Rig)
    input = Here(Input, "rig__production")
    song = Here(Song)
    session = Here(ListeningSession)
    note = Here(Note)


class Clips(ProductionList):
    serializer_class = ClipSerializer
    queryset = Clip.objects.none()
    ordering: ClassVar = ("-brought_at", "-pk")
    write: ClassVar = Action.WRITE_NOTE
    parser_classes = (MultiPartParser,)

    def rows(self) -> QuerySet[Any]:
        asked = ClipQuery.of(self.request, self.production)
        return clips_of(self.production).live().filter(**asked)

    @extend_schema(operation_id="clips_list", summary="Clips, newest first", parameters=[ClipQuery])
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="clips_create",
        summary="Upload a clip",
        request={"multipart/form-data": NewClipSerializer},
        description="200 with the clip that is there, where the input has the same part of the "
        "same sound already.",
        responses={
            200: ClipSerializer,
            201: ClipSerializer,
            400: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewClipSerializer(data=request.data, context={"production": self.production})
        sent.is_valid(raise_exception=True)
        data = dict(sent.validated_data)
        file = data.pop("file")
        if "revision" in data:
            data["revision"] = self._revision(data["rig"], data["revision"])
        clip = upload_clip(file=file, name=file.name, by=request.user, **data)  # type: ignore[arg-type]
        shown = clips_of(self.production).get(pk=clip.pk)
        code = status.HTTP_200_OK if clip.was_there else status.HTTP_201_CREATED
        return Response(self.get_serializer(shown).data, code)

    def _revision(self, rig: Rig, number: int) -> Revision:
        revision = Revision.objects.filter(rig=rig, number=number).first()
        if revision is None:
            raise ImpossibleValues({"revision": _("This rig has no such change.")})
        return revision


class OfClip(ProductionView):
    serializer_class = ClipSerializer
    queryset = Clip.objects.none()

    def find_production(self) -> UUID:
        return production_of(Clip.objects.filter(pk=self.kwargs["clip"]), "production", "clip")

    def clip(self) -> Clip:
        return get_object_or_404(clips_of(self.production), pk=self.kwargs["clip"])


class OneClip(OfClip):
    @extend_schema(operation_id="clips_retrieve", summary="One clip with its figures")
    def get(self, request: Request, **_: Any) -> Response:
        clip = self.clip()
        update_figures(clip)
        return Response(self.get_serializer(clip).data)


class Sound(OfClip):
    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """A player asks for sound, and errors are JSON all the same."""
        return super().perform_content_negotiation(request, force=True)

    @extend_schema(
        operation_id="clips_sound",
        summary="The sound of a clip, whole or in parts (Range)",
        parameters=[OpenApiParameter("copy", str, OpenApiParameter.PATH, enum=COPIES)],
        responses={
            (200, "audio/*"): OpenApiTypes.BINARY,
            (206, "audio/*"): OpenApiTypes.BINARY,
            304: None,
            404: ErrorSerializer,
            412: None,
            416: None,
        },
    )
    def get(self, request: Request, copy: str, **_: Any) -> HttpResponseBase:
        return copy_response(request._request, self.clip(), copy)
