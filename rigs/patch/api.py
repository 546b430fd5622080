"""The patch of a production or of a show, to read, and to write as lines."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import NO_SUCH, ProductionView
from core.api.errors import ApiError
from core.api.serializers import ErrorSerializer
from core.models import Production, Show
from rigs.models import PatchQuestion
from rigs.models.patch import PhantomFrom, Split
from rigs.patch.forms import FillForm
from rigs.patch.landing import spare_ways
from rigs.patch.questions import MAY_ANSWER, answer, questions_of
from rigs.patch.rows import patch_and_rows
from rigs.shows.api import ShowApiView


class PatchBoxSerializer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    mark = serializers.CharField()
    kind = serializers.CharField()
    ways = serializers.IntegerField()
    place = serializers.CharField()
    to_desk = serializers.BooleanField()
    split = serializers.CharField()
    direct = serializers.CharField()


class PatchRunSerializer(serializers.Serializer[Any]):
    """`count` ways of `source_box` from `first` on, in those of `target_box` from `target_first`
    on."""

    source_box = serializers.UUIDField(source="source_id")
    first = serializers.IntegerField()
    target_box = serializers.UUIDField(source="target_id")
    target_first = serializers.IntegerField()
    count = serializers.IntegerField()


class PatchLineSerializer(serializers.Serializer[Any]):
    """An input with the ways its line passes in words (“D 1”, “A 1”), the first where it is plugged
    in; none where it has no way."""

    input = serializers.UUIDField(source="entry_id")
    name = serializers.CharField()
    player = serializers.CharField()
    channel = serializers.IntegerField(source="day.entry.number", allow_null=True)
    ways = serializers.SerializerMethodField()
    lands = serializers.BooleanField(source="line.lands")
    monitor_channel = serializers.IntegerField(source="line.monitor_channel", allow_null=True)
    split = serializers.ChoiceField(source="line.split", choices=Split.choices)
    phantom_from = serializers.ChoiceField(source="line.phantom_from", choices=PhantomFrom.choices)
    differs = serializers.BooleanField()

    def get_ways(self, row: Any) -> list[str]:
        return [name.replace("\u00a0", " ") for name in row.line.names]


class PatchBoxAtShowSerializer(serializers.Serializer[Any]):
    box = serializers.UUIDField(source="box_id")
    name = serializers.CharField()
    ways = serializers.IntegerField(allow_null=True)
    place = serializers.CharField()
    runs = serializers.CharField()
    words = serializers.CharField()


class LentSerializer(serializers.Serializer[Any]):
    direction = serializers.CharField()
    act = serializers.CharField()
    what = serializers.CharField()
    ways = serializers.CharField()
    plugged = serializers.BooleanField()
    words = serializers.CharField()


class PatchQuestionSerializer(serializers.ModelSerializer[PatchQuestion]):
    """Open while `answered_at` is empty; without an `answer` it was settled by word of mouth."""

    class Meta:
        model = PatchQuestion
        fields: ClassVar = [
            "id",
            "ways",
            "words",
            "asked_name",
            "asked_at",
            "answer",
            "answered_by_name",
            "answered_at",
        ]


class AnswerToGuestSerializer(serializers.Serializer[Any]):
    answer = serializers.CharField(
        max_length=1000,
        allow_blank=True,
        help_text="Left empty, it was settled by word of mouth. Whoever asked reads it.",
    )


class PatchSerializer(serializers.Serializer[Any]):
    boxes = PatchBoxSerializer(many=True)
    runs = PatchRunSerializer(many=True)
    lines = PatchLineSerializer(many=True)
    spare = serializers.ListField(child=serializers.CharField())
    lent = LentSerializer(many=True)
    differ = PatchBoxAtShowSerializer(
        many=True, help_text="What stands in the place of boxes at the show."
    )
    questions = PatchQuestionSerializer(
        many=True, help_text="What guests asked about the patch of the show."
    )


class PatchLinesSerializer(serializers.Serializer[Any]):
    lines = serializers.CharField(max_length=12_000, help_text="1–16 → A 1–16, one a line.")


class WrittenPatchSerializer(serializers.Serializer[Any]):
    changed = serializers.ListField(child=serializers.CharField(), help_text="In sentences.")


def _read(production: Production, show: Show | None) -> Response:
    patch, rows = patch_and_rows(production, show)
    used = {way for row in rows for way in row.line.passed} | patch.lent_ways
    spare = spare_ways(patch.ways, used)
    names = [patch.ways.named(way).replace("\u00a0", " ") for way in spare]
    content = {
        "boxes": patch.boxes,
        "runs": patch.runs,
        "lines": rows,
        "spare": names,
        "lent": patch.lent,
        "differ": list(patch.layers.values()),
        "questions": questions_of(show),
    }
    return Response(PatchSerializer(content).data)


def _write(request: Request, production: Production, show: Show | None) -> Response:
    sent = PatchLinesSerializer(data=request.data)
    sent.is_valid(raise_exception=True)
    patch, rows = patch_and_rows(production, show)
    form = FillForm(patch, rows, sent.validated_data)
    try:
        changed = form.try_save(request.user)  # type: ignore[arg-type]
    except ValidationError as refused:
        form.add_error(None, refused)
        changed = None
    if changed is None:
        told = [str(message) for messages in form.errors.values() for message in messages]
        raise ApiError(
            status.HTTP_400_BAD_REQUEST, "unreadable", " ".join(told), fields={"lines": told}
        )
    return Response(WrittenPatchSerializer({"changed": changed}).data)


class ProductionPatch(ProductionView):
    serializer_class = PatchSerializer
    pagination_class = None  # type: ignore[assignment]  # it is read whole
    write: ClassVar = Action.EDIT_RIG

    @extend_schema(
        operation_id="patch_retrieve", summary="The patch of all shows", responses=PatchSerializer
    )
    def get(self, request: Request, **_: Any) -> Response:
        return _read(self.production, None)

    @extend_schema(
        operation_id="patch_create",
        summary="Give inputs their ways, for all shows",
        request=PatchLinesSerializer,
        responses={200: WrittenPatchSerializer, 400: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        return _write(request, self.production, None)


class ShowPatch(ShowApiView):
    serializer_class = PatchSerializer
    write: ClassVar = Action.LINE_CHECK

    @extend_schema(
        operation_id="show_patch_retrieve",
        summary="The patch of one show",
        responses=PatchSerializer,
    )
    def get(self, request: Request, **_: Any) -> Response:
        return _read(self.production, self.show)

    @extend_schema(
        operation_id="show_patch_create",
        summary="Give inputs their ways, for one show",
        request=PatchLinesSerializer,
        responses={200: WrittenPatchSerializer, 400: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        return _write(request, self.production, self.show)


class AnswerToGuest(ShowApiView):
    serializer_class = AnswerToGuestSerializer
    write: ClassVar = MAY_ANSWER

    @extend_schema(
        operation_id="show_patch_question_answer",
        summary="Answer what a guest asked about the patch of a show, and close it",
        description="The same answer, sent again, changes nothing. 422 where somebody else "
        "answered it meanwhile.",
        request=AnswerToGuestSerializer,
        responses={200: PatchQuestionSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **kwargs: Any) -> Response:
        sent = AnswerToGuestSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        asked = PatchQuestion.objects.filter(pk=kwargs["guest_question"], show=self.show)
        question = asked.first()
        if question is None:
            raise Http404(NO_SUCH["question"])
        answer(question, sent.validated_data["answer"], by=request.user)  # type: ignore[arg-type]
        return Response(PatchQuestionSerializer(asked.get()).data)
