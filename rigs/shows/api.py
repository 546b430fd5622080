"""The input list and the findings of one show, to read."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from django.http import Http404
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.errors import ApiError
from core.api.once import ONCE, done_once
from core.api.serializers import ErrorSerializer
from core.models import Player, Show, User
from rigs.checks.acceptance import findings_with_words_at
from rigs.checks.api import FindingSerializer
from rigs.checks.run import stage_findings
from rigs.fields import PartField, ValueKind
from rigs.lists.input_list import DayInput
from rigs.models import Input, ShowDep, ShowInput
from rigs.shows.players import CHANGED, DepChanged, PlayerAtShow, set_dep, who_plays
from rigs.shows.services import rows_of
from rigs.shows.stage import stage_of


class DifferenceSerializer(serializers.Serializer[Any]):
    """One value of an input that is not that of the list, in the words of the list’s export."""

    field = serializers.CharField(source="key")
    heading = serializers.CharField()
    old = serializers.CharField()
    new = serializers.CharField()


_FIELDS: dict[ValueKind, Any] = {
    ValueKind.WHOLE: serializers.IntegerField,
    ValueKind.POINTER: serializers.UUIDField,
    ValueKind.YES_NO: serializers.BooleanField,
}


def _of_entry(row: PartField) -> dict[str, Any]:
    """The fields of what may differ at a show: a length as metres and unit."""
    kind = _FIELDS.get(row.kind, serializers.CharField)
    ending = "_id" if row.kind is ValueKind.POINTER else ""
    empty = {"allow_null": True} if Input._meta.get_field(row.name).null else {}
    first = {row.name: kind(source=f"entry.{row.name}{ending}", **empty)}
    unit = row.unit_field
    return first | ({unit: serializers.CharField(source=f"entry.{unit}")} if unit else {})


class DayInputSerializer(serializers.Serializer[DayInput]):
    """An input as it is at that show, with what may differ there (the rows of inputs say which);
    `differences` say what the list has instead."""

    input = serializers.UUIDField(source="entry.pk")
    rig = serializers.UUIDField(source="entry.rig_id")
    name = serializers.CharField(source="entry.name")
    player = serializers.CharField(source="entry.rig.player.name")
    picks_up = serializers.ListField(
        child=serializers.CharField(),
        source="listed.heard.chosen_names",
        help_text="The units, groups of units and rigs of other players it picks up, by name.",
    )
    absent = serializers.BooleanField()
    hired_locally = serializers.BooleanField()
    why = serializers.ChoiceField(
        choices=[("", ""), *ShowInput._meta.get_field("why").flatchoices],
        source="difference.why",
        default="",
    )
    words = serializers.CharField(source="difference.words", default="")
    differences = DifferenceSerializer(source="differs", many=True)
    cautions = serializers.ListField(child=serializers.CharField())

    def get_fields(self) -> dict[str, Any]:
        fields: dict[str, Any] = {}
        for name, stated in super().get_fields().items():
            fields[name] = stated
            if name == "player":
                for row in ShowInput.ROWS:
                    fields |= _of_entry(row)
        return fields


class ShowApiView(ProductionView):
    """Below one show, whose production is the caller's or the show is not there for them."""

    pagination_class = None  # type: ignore[assignment]  # a list is read whole
    show: Show

    def find_production(self) -> UUID:
        try:
            self.show = Show.objects.select_related("leg__production").get(pk=self.kwargs["show"])
        except Show.DoesNotExist:
            raise Http404(_("No such show.")) from None
        return self.show.leg.production_id

    def get_object(self) -> Show:
        """What an OPTIONS request asks whether the caller may change it."""
        return self.show


class DepSerializer(serializers.Serializer[ShowDep]):
    """Somebody who plays for a player, since `since` (a show). `version` goes along with a change
    at that show; at another show there is nothing yet, and 0 goes along."""

    name = serializers.CharField(source="who")
    player = serializers.UUIDField(source="stands_in_id", allow_null=True)
    differs = serializers.CharField()
    since = serializers.UUIDField(source="show_id")
    to_leg_end = serializers.BooleanField()
    version = serializers.IntegerField()
    by_name = serializers.CharField()
    at = serializers.DateTimeField()


class PlayerAtShowSerializer(serializers.Serializer[PlayerAtShow]):
    """A player at a show; `name` is “X for Y” where somebody deps for them. `noted` is also there
    where the player does not play."""

    player = serializers.UUIDField(source="player.pk")
    name = serializers.CharField()
    guest = serializers.BooleanField(source="player.guest")
    plays = serializers.BooleanField()
    rigs = serializers.SerializerMethodField()
    noted = DepSerializer(allow_null=True)

    def get_rigs(self, row: PlayerAtShow) -> list[str]:
        return [str(each.rig.pk) for each in row.rigs if each.plays]


class NewDepSerializer(serializers.Serializer[Any]):
    """An empty name takes back what is said at this show; where a dep of an earlier show would
    still play, the player plays themselves."""

    name = serializers.CharField(allow_blank=True, max_length=120)
    differs = serializers.CharField(allow_blank=True, max_length=500, default="")
    to_leg_end = serializers.BooleanField(default=False)
    version = serializers.IntegerField(min_value=0)


class ShowInputs(ShowApiView):
    serializer_class = DayInputSerializer

    @extend_schema(
        operation_id="show_inputs_list",
        summary="The input list of one show, of the rigs that play",
        responses=DayInputSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(rows_of(self.show), many=True).data)


class ShowFindings(ShowApiView):
    serializer_class = FindingSerializer

    @extend_schema(
        operation_id="show_findings_list",
        summary="What is found on the rigs that play at a show, beside each other",
        responses=FindingSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        found = findings_with_words_at(self.show, stage_findings(stage_of(self.show)))
        return Response(self.get_serializer(found, many=True).data)


class ShowPlayers(ShowApiView):
    serializer_class = PlayerAtShowSerializer

    @extend_schema(
        operation_id="show_players_list",
        summary="Who plays at a show: players, their rigs, guests and deps",
        responses=PlayerAtShowSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(who_plays(self.show).players, many=True).data)


class ShowPlayerDep(ShowApiView):
    serializer_class = PlayerAtShowSerializer
    write = Action.CHOOSE_DEP

    @extend_schema(
        operation_id="show_dep_update",
        summary="Say who plays for a player at a show",
        request=NewDepSerializer,
        parameters=[ONCE],
        responses={
            200: PlayerAtShowSerializer,
            400: ErrorSerializer,
            409: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def put(self, request: Request, player: UUID, **_more: Any) -> Response:
        found = who_plays(self.show).players
        whom = next((each.player for each in found if each.player.pk == player), None)
        if whom is None:
            raise Http404(_("No such player."))
        sent = NewDepSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done_once(request, lambda: self._set(whom, sent.validated_data))
        return Response(self.get_serializer(who_plays(self.show).of(whom)).data)

    def _set(self, player: Player, values: dict[str, Any]) -> UUID:
        try:
            set_dep(self.show, player, by=cast(User, self.request.user), **values)
        except DepChanged as changed:
            now = changed.there.version if changed.there else 0
            raise ApiError(409, "changed_meanwhile", str(CHANGED), version=now) from None
        return player.pk
