"""Many cables over the API, said as a path in words like on the page."""

from __future__ import annotations

from typing import Any, ClassVar

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.errors import ApiError
from core.api.serializers import ErrorSerializer
from rigs.api.change import change
from rigs.api.serializers import ConflictSerializer, WrittenSerializer, head_of
from rigs.api.views import RigApiView
from rigs.cables.path_form import LONGEST
from rigs.cables.plan import PathPlan, PlannedCable
from rigs.cables.words import folded
from rigs.changes.reasons import NO_REASON
from rigs.gear import GEAR, gear_choices
from rigs.revisions.read import live

GEAR_KINDS = gear_choices()


class PathSerializer(serializers.Serializer[Any]):
    """A path in words, and the kinds of units that it names anew."""

    base = serializers.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        help_text="The number of the newest change you have seen of this rig.",
    )
    words = serializers.CharField(max_length=LONGEST, help_text="guitar > pedal; send 1 > delay")
    new_units = serializers.DictField(
        child=serializers.ChoiceField(choices=GEAR_KINDS),
        required=False,
        default=dict,
        help_text="By name: the kind of each unit that the rig has not yet.",
    )


class SaidCableSerializer(serializers.Serializer[Any]):
    """A cable as it was read. `is_there` where the rig had it already."""

    source = serializers.CharField(  # type: ignore[assignment]
        help_text="The name of the unit."
    )
    target = serializers.CharField()
    from_socket = serializers.CharField(source="said.from_socket")
    to_socket = serializers.CharField(source="said.to_socket")
    carries = serializers.CharField(source="usual.carries")
    cable = serializers.CharField(source="usual.cable")
    connectors = serializers.CharField(source="usual.connectors")
    length_m = serializers.SerializerMethodField()
    is_there = serializers.BooleanField()

    def get_length_m(self, cable: PlannedCable) -> str | None:
        length = cable.usual.length
        return None if length is None else str(length.metres)


class WrittenPathSerializer(WrittenSerializer):
    cables = SaidCableSerializer(many=True, help_text="In the order of the words.")


class NewUnitSerializer(serializers.Serializer[Any]):
    name = serializers.CharField()
    gear = serializers.CharField(source="gear.key", help_text="The kind that its name suggests.")


class UnreadStretchSerializer(serializers.Serializer[Any]):
    """What cannot be read: characters of `words` from `start` to before `end`."""

    start = serializers.IntegerField()
    end = serializers.IntegerField()
    message = serializers.CharField()


class PathRefusedSerializer(ErrorSerializer):
    new_units = NewUnitSerializer(many=True, required=False, help_text="With `new_units`.")
    problems = UnreadStretchSerializer(many=True, required=False, help_text="With `unreadable`.")


class RigCables(RigApiView):
    serializer_class = WrittenPathSerializer
    write: ClassVar = Action.EDIT_RIG

    @extend_schema(
        operation_id="rig_cables_create",
        summary="Add cables as a path in words",
        request=PathSerializer,
        responses={
            201: WrittenPathSerializer,
            200: WrittenPathSerializer,
            400: PathRefusedSerializer,
            409: ConflictSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = PathSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        given = sent.validated_data
        kinds = {folded(name): GEAR[key] for name, key in given["new_units"].items()}
        plan = PathPlan(self.rig, live(self.rig), given["words"], kinds)
        _check(plan, set(kinds))
        revision = change(
            self.rig,
            plan.edits(),
            author=request.user,  # type: ignore[arg-type]
            base=given["base"],
            reason=NO_REASON,
        )
        written = {
            "head": head_of(self.rig),
            "revision": revision,
            "readings": [],
            "cables": plan.cables,
        }
        return Response(
            WrittenPathSerializer(written).data,
            status.HTTP_201_CREATED if revision else status.HTTP_200_OK,
        )


def _check(plan: PathPlan, agreed: set[str]) -> None:
    """Raises ApiError where something cannot be read, or a new unit was not agreed on: a misspelt
    name must not become a unit, here as on the page."""
    problems = plan.reading.problems
    if problems:
        told = [problem.message for problem in problems]
        raise ApiError(
            status.HTTP_400_BAD_REQUEST,
            "unreadable",
            " ".join(told),
            fields={"words": told},
            problems=[problem._asdict() for problem in problems],
        )
    if not plan.reading.cables:
        said = _("Write at least two units with > between them.")
        raise ApiError(
            status.HTTP_400_BAD_REQUEST, "unreadable", said, fields={"words": [said]}, problems=[]
        )
    unseen = [unit for unit in plan.new_units if folded(unit.name) not in agreed]
    if unseen:
        names = _(", ").join(f"“{unit.name}”" for unit in unseen)
        words = _(
            "Not in the rig yet: {names}. Give the kind of each in {field}, or mend the word."
        )
        said = words.format(names=names, field="new_units")
        raise ApiError(
            status.HTTP_400_BAD_REQUEST,
            "new_units",
            said,
            fields={"new_units": [said]},
            new_units=NewUnitSerializer(unseen, many=True).data,
        )
