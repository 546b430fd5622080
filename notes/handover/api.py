"""Published handovers, to read and to check: SHA-256 over `content` as it stands is `digest`.

Besides: who has read what, saying so, asking and answering.
"""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.models import Player, User
from notes.handover import services
from notes.handover.progress import Reader, progress_of
from notes.models import Answer, PublishedHandover, Question


class HandoverSerializer(serializers.ModelSerializer[PublishedHandover]):
    leg = serializers.UUIDField(source="handover.leg_id")

    class Meta:
        model = PublishedHandover
        fields: ClassVar = [
            "id",
            "number",
            "leg",
            "previous",
            "digest",
            "published_by",
            "published_at",
        ]


class WholeHandoverSerializer(HandoverSerializer):
    content = serializers.CharField(
        help_text="Canonical JSON (RFC 8785), as text, so that its digest can be checked."
    )

    class Meta(HandoverSerializer.Meta):
        fields: ClassVar = [*HandoverSerializer.Meta.fields, "content"]


@extend_schema_view(
    get=extend_schema(operation_id="handovers_list", summary="Published handovers, newest first")
)
class Handovers(ProductionList):
    serializer_class = HandoverSerializer
    queryset = PublishedHandover.objects.none()
    ordering: ClassVar = ("-number",)

    def rows(self) -> QuerySet[Any]:
        published = PublishedHandover.objects.filter(production=self.production)
        # A list is read without all that its handovers say.
        return published.select_related("handover").defer("content")


class OneHandover(ProductionView):
    serializer_class = WholeHandoverSerializer
    queryset = PublishedHandover.objects.none()

    def find_production(self) -> UUID:
        published = PublishedHandover.objects.filter(pk=self.kwargs["published"])
        return production_of(published, "production", "handover")

    @extend_schema(operation_id="handovers_retrieve", summary="One published handover, whole")
    def get(self, request: Request, **_: Any) -> Response:
        published = get_object_or_404(
            PublishedHandover.objects.select_related("handover"), pk=self.kwargs["published"]
        )
        return Response(self.get_serializer(published).data)


OFFLINE = ("page_at", "arrived_at", "device_said")  # core.models.base.OfflineTimes


class SectionReadSerializer(serializers.Serializer[Any]):
    player = serializers.UUIDField(
        source="part.player", allow_null=True, help_text="Null: the general part."
    )
    title = serializers.CharField(source="part.title")
    digest = serializers.CharField(source="part.digest")
    read_at = serializers.DateTimeField(source="read.at", default=None, allow_null=True)
    is_read = serializers.BooleanField(
        help_text="False where it was read before and says something else now."
    )


class ReaderSerializer(serializers.Serializer[Any]):
    user = serializers.UUIDField(source="person.user.pk")
    name = serializers.CharField(source="person.user.name")
    waited_for = serializers.BooleanField(
        source="is_addressee", help_text="Whether the handover is written for this person."
    )
    sections = SectionReadSerializer(source="cells", many=True)


class ReadSerializer(serializers.Serializer[Any]):
    player = serializers.UUIDField(
        allow_null=True, help_text="Whose section was read. Null: the general part."
    )


class AnswerSerializer(serializers.ModelSerializer[Answer]):
    class Meta:
        model = Answer
        fields: ClassVar = ["id", "words", "answered_by", "answered_at", *OFFLINE]
        read_only_fields: ClassVar = ["id", "answered_by", "answered_at", *OFFLINE]


class QuestionSerializer(serializers.ModelSerializer[Question]):
    answers = AnswerSerializer(many=True, read_only=True)

    class Meta:
        model = Question
        fields: ClassVar = [
            "id",
            "player",
            "words",
            "asked_by",
            "asked_at",
            *OFFLINE,
            "owed_by",
            "answers",
        ]
        read_only_fields: ClassVar = ["id", "asked_by", "asked_at", *OFFLINE]


class OfHandover(ProductionView):
    queryset = PublishedHandover.objects.none()

    def find_production(self) -> UUID:
        return OneHandover.find_production(self)  # type: ignore[arg-type]

    def published(self) -> PublishedHandover:
        rows = PublishedHandover.objects.select_related("production", "handover__leg__production")
        return get_object_or_404(rows, pk=self.kwargs["published"])


class ReadersOfHandover(OfHandover):
    serializer_class = ReaderSerializer
    pagination_class = None  # type: ignore[assignment]  # read whole: a crew is not large
    write: ClassVar = Action.ACKNOWLEDGE

    @extend_schema(
        operation_id="handovers_reading_list",
        summary="Who has read which section",
        responses=ReaderSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(ReaderSerializer(progress_of(self.published()).readers, many=True).data)

    @extend_schema(
        operation_id="handovers_reading_create",
        summary="Say that you have read a section",
        request=ReadSerializer,
        responses={201: ReaderSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = ReadSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        published, user = self.published(), _person(request)
        player = _player(self, sent.validated_data["player"])
        services.acknowledge(
            leg=published.handover.leg, user=user, player=player, published=published
        )
        mine: Reader | None = progress_of(published).of(user)
        return Response(ReaderSerializer(mine).data, status.HTTP_201_CREATED)


class Questions(OfHandover):
    serializer_class = QuestionSerializer
    pagination_class = None  # type: ignore[assignment]  # read whole: a crew is not large
    write: ClassVar = Action.ACKNOWLEDGE

    @extend_schema(
        operation_id="handovers_questions_list",
        summary="Questions of a handover’s leg, with answers",
        responses=QuestionSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        asked: QuerySet[Question] = Question.objects.filter(handover=self.published().handover_id)
        rows = asked.prefetch_related("answers").order_by("asked_at", "pk")
        return Response(QuestionSerializer(rows, many=True).data)

    @extend_schema(
        operation_id="handovers_questions_create",
        summary="Ask about a section",
        request=QuestionSerializer,
        responses={201: QuestionSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = QuestionSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        given = sent.validated_data
        made = services.ask(
            leg=self.published().handover.leg,
            user=_person(request),
            words=given["words"],
            player=given.get("player"),
            owed_by=given.get("owed_by"),
        )
        return Response(QuestionSerializer(made).data, status.HTTP_201_CREATED)


class Answers(ProductionView):
    serializer_class = AnswerSerializer
    queryset = Answer.objects.none()
    write: ClassVar = Action.ANSWER

    def find_production(self) -> UUID:
        rows = Question.objects.filter(pk=self.kwargs["question"])
        return production_of(rows, "handover__leg__production", "question")

    @extend_schema(
        operation_id="questions_answers_create",
        summary="Answer a question",
        responses={201: AnswerSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = AnswerSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        question = get_object_or_404(Question, pk=self.kwargs["question"])
        made = services.answer(
            question=question, user=_person(request), words=sent.validated_data["words"]
        )
        return Response(AnswerSerializer(made).data, status.HTTP_201_CREATED)


def _person(request: Request) -> User:
    assert isinstance(request.user, User)  # noqa: S101 - the permission class let nobody else in
    return request.user


def _player(view: ProductionView, pk: UUID | None) -> Player | None:
    if pk is None:
        return None
    player = Player.objects.filter(pk=pk, production=view.production).first()
    if player is None:
        raise ImpossibleValues({"player": gettext("This production has no such player.")})
    return player
