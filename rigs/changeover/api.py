"""The changeover of a show: its plan to read and change, its steps to tick off, and its clock."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.errors import ApiError
from core.api.once import ONCE, done_once
from core.api.serializers import ErrorSerializer
from core.durations import LONGEST_S
from core.models import User
from rigs.changeover.marks import DONE, OPEN, START, STOP, Mark
from rigs.changeover.records import ChangeoverNow, StepNow, changeover_of
from rigs.changeover.services import PlanConflict, change, mark_clock, mark_step, wanted
from rigs.changeover.state import SET, USER
from rigs.models import ChangeoverStep
from rigs.shows.api import ShowApiView

PARTS = ChangeoverStep.Part.choices


class ChangeoverMarkSerializer(serializers.Serializer[Mark]):
    """Who pressed, and when; `arrived_at` is null for what was sent at once."""

    by_name = serializers.CharField()
    at = serializers.DateTimeField()
    arrived_at = serializers.DateTimeField(allow_null=True)


class ChangeoverStepSerializer(serializers.Serializer[StepNow]):
    """A step. `ends_s` is when it is done by the plan, `took_s` when it was, both in s from the
    start of the clock; `done` says who ticked it off, null where nobody did."""

    id = serializers.UUIDField(source="step.id")
    part = serializers.ChoiceField(PARTS, source="step.part")
    words = serializers.CharField(source="step.words")
    riser = serializers.SerializerMethodField(help_text="Of the plot; null for a place in words.")
    place = serializers.CharField()
    person = serializers.SerializerMethodField()
    name = serializers.CharField(source="who")
    planned_s = serializers.IntegerField(source="step.planned_s", allow_null=True)
    side_by_side = serializers.BooleanField(source="step.side_by_side")
    ends_s = serializers.IntegerField()
    took_s = serializers.IntegerField(allow_null=True)
    done = ChangeoverMarkSerializer(source="mark", allow_null=True)

    def get_riser(self, row: StepNow) -> str | None:
        return row.riser or None

    def get_person(self, row: StepNow) -> str | None:
        who = row.step.who
        return who.removeprefix(USER) if who.startswith(USER) else None


class ChangeoverHandsSerializer(serializers.Serializer[Any]):
    """What one person has to do, in s."""

    name = serializers.CharField()
    planned_s = serializers.IntegerField()


class ChangeoverSerializer(serializers.Serializer[ChangeoverNow]):
    """`version` 0: nobody planned one. `needed_s` is the least that it takes, `sum_s` one step
    after another, `hands` each person's share, the longest first; `over_s` is negative where time
    is left, null where no time is given. `started` and `stopped` are those of the newest run."""

    version = serializers.IntegerField()
    there_s = serializers.IntegerField(source="plan.there_s", allow_null=True)
    needed_s = serializers.IntegerField(source="times.needed_s")
    sum_s = serializers.IntegerField(source="times.sum_s")
    is_whole = serializers.BooleanField(source="times.is_whole")
    over_s = serializers.IntegerField(allow_null=True)
    still_s = serializers.IntegerField(source="still.needed_s")
    hands = serializers.SerializerMethodField()
    started = ChangeoverMarkSerializer(source="pressed.started", allow_null=True)
    stopped = ChangeoverMarkSerializer(source="pressed.stopped", allow_null=True)
    steps = ChangeoverStepSerializer(many=True)

    @extend_schema_field(ChangeoverHandsSerializer(many=True))
    def get_hands(self, found: ChangeoverNow) -> list[dict[str, Any]]:
        return [{"name": who, "planned_s": seconds} for who, seconds in found.hands]


class NewChangeoverStepSerializer(serializers.Serializer[Any]):
    """A step as it is to be. `id` is that of a step which is there; without one it is new. Who is
    `person`, a member of the production, or else `name`; where, `riser` of the plot or `place`."""

    id = serializers.UUIDField(required=False, allow_null=True, default=None)
    part = serializers.ChoiceField(PARTS, default=SET)
    words = serializers.CharField(max_length=160)
    riser = serializers.UUIDField(required=False, allow_null=True, default=None)
    place = serializers.CharField(max_length=80, allow_blank=True, default="")
    person = serializers.UUIDField(required=False, allow_null=True, default=None)
    name = serializers.CharField(max_length=80, allow_blank=True, default="")
    planned_s = serializers.IntegerField(
        min_value=0, max_value=LONGEST_S, allow_null=True, default=None
    )
    side_by_side = serializers.BooleanField(default=True)


class NewChangeoverSerializer(serializers.Serializer[Any]):
    """The whole plan in order, the strike first; a step that is left out is taken out. `version` is
    that of the plan it was made from: what others did since stays, what clashes is 409."""

    version = serializers.IntegerField(min_value=0)
    there_s = serializers.IntegerField(
        min_value=0, max_value=LONGEST_S, allow_null=True, default=None
    )
    steps = NewChangeoverStepSerializer(many=True)


class NewChangeoverMarkSerializer(serializers.Serializer[Any]):
    """One press: `done` or `open` of a step, `start` or `stop` of the clock."""

    what = serializers.ChoiceField([(each, each) for each in (DONE, OPEN, START, STOP)])
    step = serializers.UUIDField(required=False, allow_null=True, default=None)


class ShowChangeover(ShowApiView):
    serializer_class = ChangeoverSerializer
    write = Action.EDIT_CHANGEOVER

    @extend_schema(operation_id="show_changeover_retrieve", summary="The changeover of a show")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(changeover_of(self.show)).data)

    @extend_schema(
        operation_id="show_changeover_update",
        summary="Change the plan of a changeover",
        request=NewChangeoverSerializer,
        parameters=[ONCE],
        responses={
            200: ChangeoverSerializer,
            400: ErrorSerializer,
            409: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def put(self, request: Request, **_: Any) -> Response:
        sent = NewChangeoverSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done_once(request, lambda: self._changed(sent.validated_data))
        return Response(self.get_serializer(changeover_of(self.show)).data)

    def _changed(self, sent: dict[str, Any]) -> UUID:
        """Write it as the page does."""
        by = cast(User, self.request.user)
        try:
            made = wanted(self.show, sent["version"], sent["steps"], sent["there_s"])
            change(self.show, made, base=sent["version"], by=by)
        except PlanConflict as conflict:
            said = _("{by_name} changed this changeover meanwhile; read it anew.").format(
                by_name=conflict.theirs.by_name
            )
            raise ApiError(409, "changed_meanwhile", said, version=conflict.version) from None
        return self.show.pk


class ShowChangeoverMarks(ShowApiView):
    serializer_class = ChangeoverSerializer
    write = Action.MARK_CHANGEOVER

    @extend_schema(
        operation_id="show_changeover_mark",
        summary="Tick a step off, take that back, start or stop the clock",
        request=NewChangeoverMarkSerializer,
        parameters=[ONCE],
        responses={200: ChangeoverSerializer, 400: ErrorSerializer, 422: ErrorSerializer},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewChangeoverMarkSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done_once(request, lambda: self._marked(**sent.validated_data))
        return Response(self.get_serializer(changeover_of(self.show)).data)

    def _marked(self, what: str, step: UUID | None) -> UUID:
        by = cast(User, self.request.user)
        if what in (START, STOP):
            mark_clock(self.show, what, by=by)
        else:
            mark_step(self.show, step, what, by=by)
        return self.show.pk
