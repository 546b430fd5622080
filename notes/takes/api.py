"""Long recordings over the API: bring a file, read the index, correct a take, cut a clip of it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar, cast
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.fields import PlainSerializer
from core.api.queries import Here, ListQuery
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.models import Song, User
from notes.clips.api import ClipSerializer
from notes.clips.times import format_time
from notes.clips.uploads import on_disk
from notes.models import ListeningSession, Recording, Take
from notes.queries import clips_of
from notes.takes.forms import TakeForm
from notes.takes.index import in_order
from notes.takes.queries import recordings_of, take_of, with_index
from notes.takes.services import Brought, Wanted, bring, check_session, cut_clip, take_out
from rigs.models import Input


class TakeSerializer(PlainSerializer):
    """A take. `number`: which take of its song in this recording; `by`: who made or corrected it,
    null for what was found."""

    number = serializers.IntegerField()
    # Empty where there is no song; one of the words of `Take.SongFrom` otherwise.
    song_from = serializers.CharField(read_only=True)

    class Meta:
        model = Take
        fields: ClassVar = [
            "id",
            "starts_s",
            "ends_s",
            "song",
            "song_from",
            "number",
            "name",
            "by",
            "version",
        ]


class RecordedFileSerializer(serializers.Serializer[Any]):
    id = serializers.IntegerField(source="sound_id", help_text="Of the sound, to cut clips from.")
    name = serializers.CharField(source="sound.name")
    channels = serializers.IntegerField(source="sound.channels")
    seconds = serializers.DecimalField(10, 4, source="sound.seconds")
    bytes = serializers.IntegerField(source="sound.bytes")


class RecordingSerializer(PlainSerializer):
    """A recording of a session; `takes` are in order and never overlap. Pauses are what is left."""

    files = RecordedFileSerializer(many=True)
    takes = serializers.SerializerMethodField()

    class Meta:
        model = Recording
        fields: ClassVar = [
            "id",
            "session",
            "name",
            "began_at",
            "seconds",
            "method",
            "version",
            "files",
            "takes",
        ]

    @extend_schema_field(TakeSerializer(many=True))
    def get_takes(self, recording: Recording) -> Any:
        return TakeSerializer(in_order(recording), many=True).data


class NewRecordingSerializer(ListQuery):
    """What is sent to bring a file of a session, as multipart/form-data. `together`: the recording
    that it ran together with."""

    file = serializers.FileField(allow_empty_file=True)
    session = Here(ListeningSession)
    together = Here(Recording)
    title = serializers.CharField(required=False, max_length=120)
    began_at = serializers.DateTimeField(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        together = attrs.get("together")
        if together is not None:
            attrs.setdefault("session", together.session)
            check_session(together, attrs["session"])
        if "session" not in attrs:
            raise serializers.ValidationError({"session": _("This is needed.")})
        return attrs


class CorrectedTakeSerializer(ListQuery):
    """What of a take is to be otherwise; what is left out stays."""

    starts_s = serializers.DecimalField(10, 4, required=False, min_value=0)
    ends_s = serializers.DecimalField(10, 4, required=False, min_value=0)
    song = Here(Song, allow_null=True)
    name = serializers.CharField(required=False, max_length=120, allow_blank=True)
    version = serializers.IntegerField(required=False, min_value=1)


class TakeClipSerializer(ListQuery):
    """A clip of one channel of a take: `sound` is one of the files, `channel` counts from 1; times
    in s from the beginning of the take."""

    input = Here(Input, "rig__production")
    sound = serializers.IntegerField()
    channel = serializers.IntegerField(min_value=1, default=1)
    from_s = serializers.DecimalField(10, 4, required=False, min_value=0)
    to_s = serializers.DecimalField(10, 4, required=False, min_value=0)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if "input" not in attrs:
            raise serializers.ValidationError({"input": _("This is needed.")})
        return attrs


class RecordingQuery(ListQuery):
    session = Here(ListeningSession)


class Recordings(ProductionList):
    serializer_class = RecordingSerializer
    queryset = Recording.objects.none()
    ordering: ClassVar = ("-brought_at", "-pk")
    write: ClassVar = Action.WRITE_NOTE
    parser_classes = (MultiPartParser,)

    def rows(self) -> QuerySet[Any]:
        asked = RecordingQuery.of(self.request, self.production)
        return with_index(recordings_of(self.production)).filter(**asked)

    @extend_schema(
        operation_id="recordings_list",
        summary="Recordings of whole sessions, newest first",
        parameters=[RecordingQuery],
    )
    def get(self, request: Request, **_kwargs: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="recordings_create",
        summary="Upload a file of a session, and find its takes",
        request={"multipart/form-data": NewRecordingSerializer},
        responses={201: RecordingSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_kwargs: Any) -> Response:
        sent = NewRecordingSerializer(data=request.data, context={"production": self.production})
        sent.is_valid(raise_exception=True)
        given = dict(sent.validated_data)
        file, title = given.pop("file"), given.pop("title", "")
        with on_disk(file=file) as path:
            made = bring(
                Brought(path=path, file_name=file.name, name=title, **given),
                by=cast("User", request.user),
                most_bytes=settings.CLIP_MAX_BYTES,
                within_s=settings.RECORDING_WORK_SECONDS,
            )
        shown = with_index(recordings_of(self.production)).get(pk=made.pk)
        return Response(self.get_serializer(shown).data, status.HTTP_201_CREATED)


class OneRecording(ProductionView):
    serializer_class = RecordingSerializer
    queryset = Recording.objects.none()

    def find_production(self) -> UUID:
        rows = Recording.objects.filter(pk=self.kwargs["recording"])
        return production_of(rows, "production", "recording")

    @extend_schema(operation_id="recordings_retrieve", summary="One recording with its takes")
    def get(self, request: Request, **_kwargs: Any) -> Response:
        rows = with_index(recordings_of(self.production))
        return Response(
            self.get_serializer(get_object_or_404(rows, pk=self.kwargs["recording"])).data
        )


class OfTake(ProductionView):
    write: ClassVar = Action.WRITE_NOTE

    def find_production(self) -> UUID:
        rows = Take.objects.filter(pk=self.kwargs["take"])
        return production_of(rows, "recording__production", "take")

    def take(self) -> Take:
        return take_of(self.production, self.kwargs["take"])


class OneTake(OfTake):
    serializer_class = TakeSerializer
    queryset = Take.objects.none()

    @extend_schema(operation_id="takes_retrieve", summary="One take")
    def get(self, request: Request, **_kwargs: Any) -> Response:
        return Response(self.get_serializer(self.take()).data)

    @extend_schema(
        operation_id="takes_update",
        summary="Correct a take: its borders, its song, its name",
        request=CorrectedTakeSerializer,
        responses={200: TakeSerializer, 400: ErrorSerializer},
    )
    def patch(self, request: Request, **_kwargs: Any) -> Response:
        sent = CorrectedTakeSerializer(data=request.data, context={"production": self.production})
        sent.is_valid(raise_exception=True)
        take, given = self.take(), sent.validated_data
        song = given.get("song", take.song)
        data = QueryDict(mutable=True)
        data.update(
            {
                "starts_s": format_time(given.get("starts_s", take.starts_s)),
                "ends_s": format_time(given.get("ends_s", take.ends_s)),
                "song": str(song.pk) if song is not None else "",
                "name": given.get("name", take.name),
                "version": str(given.get("version", take.version)),
            }
        )
        form = TakeForm(data, instance=take, by=cast("User", request.user))
        if not form.try_save():
            told = {name: [str(each) for each in errors] for name, errors in form.errors.items()}
            raise serializers.ValidationError(told)
        return Response(self.get_serializer(self.take()).data)

    @extend_schema(
        operation_id="takes_destroy",
        summary="Take a take out: it was talking, or tuning",
        responses={204: None},
    )
    def delete(self, request: Request, **_kwargs: Any) -> Response:
        take = self.take()
        take_out(take, version=take.version)
        return Response(status=status.HTTP_204_NO_CONTENT)


class ClipsOfTake(OfTake):
    serializer_class = ClipSerializer
    queryset = Take.objects.none()

    @extend_schema(
        operation_id="takes_clips_create",
        summary="Cut a clip of one channel of a take",
        request=TakeClipSerializer,
        responses={
            200: ClipSerializer,
            201: ClipSerializer,
            400: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_kwargs: Any) -> Response:
        sent = TakeClipSerializer(data=request.data, context={"production": self.production})
        sent.is_valid(raise_exception=True)
        given, take = sent.validated_data, self.take()
        file = take.recording.files.select_related("sound").filter(sound=given["sound"]).first()
        if file is None:
            raise ImpossibleValues({"sound": _("The recording has no such file.")})
        wanted = Wanted(
            input=given["input"],
            sound=file.sound,
            channel=given["channel"],
            from_s=given.get("from_s", Decimal(0)),
            to_s=given.get("to_s"),
        )
        clip = cut_clip(take, wanted, by=cast("User", request.user))
        shown = clips_of(self.production).get(pk=clip.pk)
        code = status.HTTP_200_OK if clip.was_there else status.HTTP_201_CREATED
        return Response(self.get_serializer(shown).data, code)
