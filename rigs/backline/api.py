"""The backline specification of a show: to read, to add to, and to answer."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db import transaction
from django.http import Http404
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.once import ONCE, done_once
from core.api.serializers import ErrorSerializer
from rigs.backline.compare import Fit
from rigs.backline.forms import AnswerForm, LineForm
from rigs.backline.lines import Asked, asked_at, lines_at
from rigs.models import BacklineAnswer, BacklineLine
from rigs.shows.api import ShowApiView

FITS = [(fit.name.lower(), fit.value) for fit in Fit]


class BacklineAnswerSerializer(serializers.ModelSerializer[BacklineAnswer]):
    """What was offered at the show, and what came. `version` is to be sent back with a change."""

    class Meta:
        model = BacklineAnswer
        fields: ClassVar = [
            "version",
            "offered",
            "from_whom",
            "reply",
            "came",
            "came_count",
            "notes",
        ]


class AskedSerializer(serializers.Serializer[Asked]):
    """A line: its lists have one name a line. `fit` and `fit_of_what_came` compare with them."""

    id = serializers.UUIDField(source="line.pk")
    whole_leg = serializers.SerializerMethodField(help_text="At every show of the leg.")
    what = serializers.CharField(source="line.what")
    count = serializers.IntegerField(source="line.count")
    wanted = serializers.CharField(source="line.wanted")
    accepted = serializers.CharField(source="line.accepted")
    refused = serializers.CharField(source="line.refused")
    notes = serializers.CharField(source="line.notes")
    answer = BacklineAnswerSerializer(allow_null=True)
    fit = serializers.SerializerMethodField()
    fit_of_what_came = serializers.SerializerMethodField()
    missing = serializers.IntegerField()
    is_settled = serializers.BooleanField()

    def get_whole_leg(self, asked: Asked) -> bool:
        return asked.line.show_id is None

    def get_fit(self, asked: Asked) -> str | None:
        return asked.fit.name.lower() if asked.fit else None

    def get_fit_of_what_came(self, asked: Asked) -> str | None:
        return asked.fit_of_what_came.name.lower() if asked.fit_of_what_came else None


class NewBacklineLineSerializer(serializers.Serializer[Any]):
    """What is sent to ask for something; the rules are those of the page."""

    whole_leg = serializers.BooleanField(default=False)
    what = serializers.CharField()
    count = serializers.IntegerField(default=1)
    wanted = serializers.CharField(required=False, allow_blank=True, default="")
    accepted = serializers.CharField(required=False, allow_blank=True, default="")
    refused = serializers.CharField(required=False, allow_blank=True, default="")
    notes = serializers.CharField(required=False, allow_blank=True, default="")


class ShowBackline(ShowApiView):
    serializer_class = AskedSerializer
    write: ClassVar = Action.EDIT_TOUR

    @extend_schema(
        operation_id="show_backline_list",
        summary="What a hire firm or promoter is asked for at a show, and what they answered",
        responses=AskedSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(asked_at(self.show), many=True).data)

    @extend_schema(
        operation_id="show_backline_create",
        summary="Ask for something",
        request=NewBacklineLineSerializer,
        parameters=[ONCE],
        responses={
            200: AskedSerializer,
            201: AskedSerializer,
            400: ErrorSerializer,
            409: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewBacklineLineSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done = done_once(request, lambda: self._asked_for(sent.validated_data).pk)
        line = BacklineLine.objects.get(pk=done.made)
        code = status.HTTP_201_CREATED if done.is_new else status.HTTP_200_OK
        return Response(self.get_serializer(Asked(line)).data, code)

    def _asked_for(self, sent: dict[str, Any]) -> BacklineLine:
        show = None if sent.pop("whole_leg") else self.show
        line = BacklineLine(leg=self.show.leg, show=show)
        form = LineForm(sent, instance=line, by=self.request.user)  # type: ignore[arg-type]
        if not form.try_save():
            raise ImpossibleValues(form.errors.as_data())
        return line


class BacklineAnswerAtShow(ShowApiView):
    serializer_class = BacklineAnswerSerializer
    write: ClassVar = Action.ANSWER_BACKLINE

    @extend_schema(
        operation_id="show_backline_answer",
        summary="Note what was offered for a line at a show, and what came",
        description="The whole answer is sent, with the `version` it was made from, 0 for the "
        "first one.",
        request=BacklineAnswerSerializer,
        responses={200: AskedSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def put(self, request: Request, **kwargs: Any) -> Response:
        line = lines_at(self.show).select_related("leg").filter(pk=kwargs["line"]).first()
        if line is None:
            raise Http404(_("No such line at this show."))
        with transaction.atomic():
            stored = BacklineAnswer.objects.filter(line=line, show=self.show).first()
            row = stored or BacklineAnswer(line=line, show=self.show, version=0)
            row.line, row.show = line, self.show
            form = AnswerForm(request.data, instance=row, by=request.user)  # type: ignore[arg-type]
            if not form.try_save():
                raise ImpossibleValues(form.errors.as_data())
        return Response(AskedSerializer(Asked(line, row)).data)
