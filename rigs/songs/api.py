"""The set of a show and its run sheet, to read."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.errors import ApiError
from core.api.once import ONCE, done_once
from core.api.serializers import ErrorSerializer
from core.durations import LONGEST_S
from core.models import SetEntry, User
from core.sets.order import SetLine, SetOfShow, set_of_show
from core.sets.services import SetConflict, change, wanted
from rigs.checks.between_songs import Fit
from rigs.checks.between_words import need_words
from rigs.shows.api import ShowApiView
from rigs.songs.run_sheet import RunPart, RunSong, run_sheet
from rigs.wording import DifferenceView


class SetLineSerializer(serializers.Serializer[SetLine]):
    """A line of a set. Times are whole seconds, null where not known. `number` counts the songs
    that are played; `gap_s` is the time to the next one."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(SetEntry.Kind.choices)
    song = serializers.UUIDField(source="song.pk", default=None)
    title = serializers.CharField(source="name")
    number = serializers.IntegerField(allow_null=True)
    cut = serializers.BooleanField()
    reprise = serializers.BooleanField()
    joined = serializers.BooleanField()
    note = serializers.CharField()
    length_s = serializers.IntegerField(source="seconds", allow_null=True)
    gap_s = serializers.IntegerField(allow_null=True)


class SetSerializer(serializers.Serializer[SetOfShow]):
    """`version` 0: the show has no set of its own and plays the songs of the production. `over_s`
    is negative where time is left, null where no length is wanted."""

    version = serializers.IntegerField()
    target_s = serializers.IntegerField(allow_null=True)
    length_s = serializers.IntegerField(source="seconds")
    is_whole = serializers.BooleanField()
    over_s = serializers.IntegerField(allow_null=True)
    lines = SetLineSerializer(many=True)


class NewSetLineSerializer(serializers.Serializer[Any]):
    """A line as it is to be. `id` is that of a line which is there; without one it is new, and
    kind and song of a line that is there never change. `length_s` null: that of the song."""

    id = serializers.UUIDField(required=False, allow_null=True, default=None)
    kind = serializers.ChoiceField(SetEntry.Kind.choices, default=SetEntry.Kind.SONG)
    song = serializers.UUIDField(required=False, allow_null=True, default=None)
    title = serializers.CharField(max_length=160, allow_blank=True, default="")
    cut = serializers.BooleanField(default=False)
    reprise = serializers.BooleanField(default=False)
    joined = serializers.BooleanField(default=False)
    note = serializers.CharField(max_length=200, allow_blank=True, default="")
    length_s = serializers.IntegerField(
        min_value=0, max_value=LONGEST_S, allow_null=True, default=None
    )


class NewSetSerializer(serializers.Serializer[Any]):
    """The whole set in order; a line that is left out is taken out. `version` is that of the set it
    was made from: what others did since stays, and what clashes is answered with 409."""

    version = serializers.IntegerField(min_value=0)
    target_s = serializers.IntegerField(
        min_value=0, max_value=LONGEST_S, allow_null=True, default=None
    )
    lines = NewSetLineSerializer(many=True)


class MoveSerializer(serializers.Serializer[Any]):
    """What one rig needs before the next song; `fit` says whether there is time."""

    rig = serializers.UUIDField()
    needs = serializers.ListField(child=serializers.CharField())
    fit = serializers.ChoiceField([(each.value, each.value) for each in Fit])


class RunPartSerializer(serializers.Serializer[RunPart]):
    rig = serializers.UUIDField(source="rig.pk")
    instrument = serializers.CharField()
    tuning = serializers.CharField()
    takes_up = serializers.ChoiceField(["", "change", "retune"])
    controls = serializers.SerializerMethodField()
    inputs_off = serializers.ListField(child=serializers.CharField())
    inputs_on = serializers.ListField(child=serializers.CharField())
    cues = serializers.SerializerMethodField()
    messages = serializers.SerializerMethodField(
        help_text="MIDI that is sent as the song begins, in words."
    )

    def get_messages(self, part: RunPart) -> list[str]:
        return [f"{each.name}: {each.text}" for each in part.messages]

    def get_controls(self, part: RunPart) -> list[str]:
        return [f"{c.unit_name}, {c.control.name}: {c.control.text}" for c in part.controls]

    def get_cues(self, part: RunPart) -> list[str]:
        cues: tuple[DifferenceView, ...] = part.cues
        return [cue.text for cue in cues]


class RunSongSerializer(serializers.Serializer[RunSong]):
    """A song as it is played at the show, and what the rigs need for it and after it."""

    line = SetLineSerializer()
    before = SetLineSerializer(many=True)
    parts = RunPartSerializer(many=True)
    moves = serializers.SerializerMethodField()

    def get_moves(self, row: RunSong) -> list[dict[str, Any]]:
        rows = [
            {"rig": rig.pk, "needs": [need_words(need) for need in move.needs], "fit": move.fit}
            for rig, move in row.moves
        ]
        return list(MoveSerializer(rows, many=True).data)


class ShowSet(ShowApiView):
    serializer_class = SetSerializer
    write = Action.EDIT_SET

    @extend_schema(operation_id="show_set_retrieve", summary="The set of a show, in order")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(set_of_show(self.show)).data)

    @extend_schema(
        operation_id="show_set_update",
        summary="Change the set of a show",
        request=NewSetSerializer,
        parameters=[ONCE],
        responses={
            200: SetSerializer,
            400: ErrorSerializer,
            409: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def put(self, request: Request, **_: Any) -> Response:
        sent = NewSetSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done_once(request, lambda: self._changed(sent.validated_data))
        return Response(self.get_serializer(set_of_show(self.show)).data)

    def _changed(self, sent: dict[str, Any]) -> UUID:
        """Write it as the page does."""
        by = cast(User, self.request.user)
        try:
            made = wanted(self.show, sent["version"], sent["lines"], sent["target_s"])
            change(self.show, made, base=sent["version"], by=by)
        except SetConflict as conflict:
            said = _("{by_name} changed this set meanwhile; read it anew.").format(
                by_name=conflict.theirs.by_name
            )
            raise ApiError(409, "changed_meanwhile", said, version=conflict.version) from None
        return self.show.pk


class ShowRun(ShowApiView):
    serializer_class = RunSongSerializer

    @extend_schema(
        operation_id="show_run_list",
        summary="The run sheet of a show: its set, and what the rigs need",
        responses=RunSongSerializer(many=True),
    )
    def get(self, request: Request, **_: Any) -> Response:
        sheet = run_sheet(self.show.leg.production, show=self.show)
        return Response(self.get_serializer(sheet.songs, many=True).data)
