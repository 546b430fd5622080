"""Monitor mixes over the API: what is in them, where they stand, and what is wished at shows.

What is sent is written by the services of the pages, brought together with what others did.
"""

from __future__ import annotations

from typing import Any, ClassVar, cast
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import F, QuerySet
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action, allowed
from core.api.base import ProductionView
from core.api.errors import ApiError
from core.api.once import ONCE, done_once
from core.api.queries import Here, ListQuery
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from core.languages.words import each_of
from core.models import Show, User
from notes.models import MixVersion, MixWish, MixWishMark, MonitorMix
from notes.monitors.refs import Known
from notes.monitors.services import MixConflict, change, create
from notes.monitors.state import LEVELS, MORE, MixState, Want
from notes.monitors.wishes import mark, wish

LEVEL_CHOICES = list(LEVELS.items())


class WantSerializer(serializers.Serializer[Any]):
    """A line of a mix. Inputs are “input:id”, “rig:id” (all of a rig) or “player:id”."""

    id = serializers.UUIDField()
    level = serializers.ChoiceField(choices=LEVEL_CHOICES)
    inputs = serializers.ListField(child=serializers.CharField())
    like = serializers.CharField(help_text="What it is to be as loud as; empty otherwise.")
    words = serializers.CharField(help_text="In the words of whoever hears it.")


class MixSerializer(serializers.ModelSerializer[MixVersion]):
    """The newest version of a mix, its wants in order."""

    id = serializers.UUIDField(source="mix_id")
    name = serializers.CharField(source="mix.name")
    kind = serializers.CharField(source="mix.kind")
    player = serializers.UUIDField(source="mix.player_id", allow_null=True)
    position = serializers.CharField(source="mix.position")
    output = serializers.CharField(source="state.output")
    eq = serializers.CharField(source="state.eq")
    limiter = serializers.CharField(source="state.limiter")
    wants = WantSerializer(source="state.wants", many=True)
    version = serializers.IntegerField(source="number")
    retired_at = serializers.DateTimeField(source="mix.retired_at", allow_null=True)

    class Meta:
        model = MixVersion
        fields: ClassVar = [
            "id",
            "name",
            "kind",
            "player",
            "position",
            "output",
            "eq",
            "limiter",
            "wants",
            "version",
            "digest",
            "by_name",
            "at",
            "retired_at",
        ]


class NewWantSerializer(serializers.Serializer[Any]):
    """A line as it is to be. `id` is that of a line which is there; without one it is new."""

    id = serializers.UUIDField(required=False, allow_null=True, default=None)
    level = serializers.ChoiceField(choices=LEVEL_CHOICES, default=MORE)
    inputs = serializers.ListField(child=serializers.CharField(max_length=80), default=list)
    like = serializers.CharField(max_length=80, allow_blank=True, default="")
    words = serializers.CharField(max_length=300, allow_blank=True, default="")


class NewMixSerializer(serializers.Serializer[Any]):
    """A whole mix, its lines in order; a line that is left out is taken out."""

    name = serializers.CharField(max_length=80)
    kind = serializers.ChoiceField(MonitorMix.Kind.choices, default=MonitorMix.Kind.WEDGE)
    player = serializers.UUIDField(allow_null=True, default=None)
    position = serializers.CharField(max_length=80, allow_blank=True, default="")
    output = serializers.CharField(max_length=120, allow_blank=True, default="")
    eq = serializers.CharField(max_length=1000, allow_blank=True, default="")
    limiter = serializers.CharField(max_length=1000, allow_blank=True, default="")
    wants = NewWantSerializer(many=True, default=list)


class ChangedMixSerializer(NewMixSerializer):
    """`version` is that of the mix it was made from: what others did since stays, and what clashes
    is answered with 409."""

    version = serializers.IntegerField(min_value=1)


def _state(production: UUID, sent: dict[str, Any]) -> MixState:
    """The mix that was sent. Raises ValidationError for refs to what is not there."""
    known = Known(production)
    wants = tuple(
        Want(
            str(each["id"] or uuid4()),
            each["level"],
            tuple(dict.fromkeys(each["inputs"])),
            each["like"],
            each["words"],
        )
        for each in sent["wants"]
    )
    unknown = sorted({ref for want in wants for ref in want.refs if ref not in known.names})
    if unknown:
        raise ImpossibleValues({"wants": _("Not here: {refs}.").format(refs=each_of(unknown))})
    if len({want.id for want in wants}) < len(wants):
        raise ImpossibleValues({"wants": _("A line stands there twice.")})
    rest = {name: sent[name] for name in ("name", "kind", "position", "output", "eq", "limiter")}
    return MixState(**rest, player=str(sent["player"] or ""), wants=wants)


WRITTEN = {
    400: ErrorSerializer,
    403: ErrorSerializer,
    409: ErrorSerializer,
    422: ErrorSerializer,
}


@extend_schema_view(
    get=extend_schema(operation_id="mixes_list", summary="Monitor mixes, as they are now")
)
class Mixes(ProductionList):
    serializer_class = MixSerializer
    queryset = MixVersion.objects.none()
    ordering: ClassVar = ("mix__name", "pk")
    write: ClassVar = Action.EDIT_MIX

    def rows(self) -> QuerySet[Any]:
        return newest().filter(mix__production=self.production)

    @extend_schema(
        operation_id="mixes_create",
        summary="Write a monitor mix down",
        request=NewMixSerializer,
        parameters=[ONCE],
        responses={200: MixSerializer, 201: MixSerializer, **WRITTEN},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewMixSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        by = cast(User, request.user)

        def act() -> UUID:
            state = _state(self.production.pk, sent.validated_data)
            return create(self.production, state, by=by).pk

        done = done_once(request, act)
        code = status.HTTP_201_CREATED if done.is_new else status.HTTP_200_OK
        return Response(self.get_serializer(newest().get(mix_id=UUID(done.made))).data, code)


def newest() -> QuerySet[MixVersion]:
    """The newest version of each mix."""
    return MixVersion.objects.filter(number=F("mix__version")).select_related("mix")


class OneMix(ProductionView):
    serializer_class = MixSerializer
    queryset = MixVersion.objects.none()
    write: ClassVar = Action.EDIT_MIX

    @extend_schema(operation_id="mixes_retrieve", summary="One monitor mix as it is now")
    def get(self, request: Request, **_: Any) -> Response:
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(
        operation_id="mixes_update",
        summary="Change a monitor mix",
        request=ChangedMixSerializer,
        parameters=[ONCE],
        responses={200: MixSerializer, **WRITTEN},
    )
    def put(self, request: Request, **_: Any) -> Response:
        found = self.get_object().mix
        sent = ChangedMixSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        done_once(request, lambda: self._changed(found, sent.validated_data))
        return Response(self.get_serializer(self.get_object()).data)

    def get_object(self) -> MixVersion:
        """The newest version of the mix in the address. OPTIONS asks for it, too."""
        rows = newest().filter(mix__production=self.production)
        made: MixVersion = get_object_or_404(rows, mix=self.kwargs["mix"])
        return made

    def _changed(self, found: MonitorMix, sent: dict[str, Any]) -> UUID:
        if sent["version"] > found.version:
            raise ImpossibleValues({"version": _("The mix has no such version yet.")})
        by = cast(User, self.request.user)
        try:
            change(found, _state(self.production.pk, sent), base=sent["version"], by=by)
        except MixConflict as conflict:
            said = _("{name} changed this mix meanwhile; read it anew.").format(
                name=conflict.theirs[0].by_name
            )
            raise ApiError(409, "changed_meanwhile", said, version=conflict.version) from None
        return found.pk


class MixWishSerializer(serializers.ModelSerializer[MixWish]):
    state = serializers.SerializerMethodField(help_text="done, open or taken_back")

    class Meta:
        model = MixWish
        fields: ClassVar = ["id", "mix", "show", "words", "by_name", "at", "state"]

    def get_state(self, wish: MixWish) -> str:
        marks = sorted(wish.marks.all(), key=lambda each: (each.at, each.pk))
        return str(marks[-1].state if marks else MixWishMark.State.OPEN)


class NewWishSerializer(serializers.Serializer[Any]):
    mix = serializers.UUIDField()
    show = serializers.UUIDField()
    words = serializers.CharField(max_length=MixWish._meta.get_field("words").max_length)


class WishMarkSerializer(serializers.Serializer[Any]):
    """What became of a wish. Whoever wished it may take it back; the rest is for the engineers."""

    state = serializers.ChoiceField(MixWishMark.State.choices)


class WishQuery(ListQuery):
    show = Here(Show, "leg__production")


@extend_schema_view(
    get=extend_schema(
        operation_id="mix_wishes_list",
        summary="What was wished in monitor mixes, and what became of it",
        parameters=[WishQuery],
    )
)
class MixWishes(ProductionList):
    serializer_class = MixWishSerializer
    queryset = MixWish.objects.none()
    ordering: ClassVar = ("at", "pk")
    write: ClassVar = Action.WISH

    @extend_schema(
        operation_id="mix_wishes_create",
        summary="Wish for something in a mix, at one show",
        request=NewWishSerializer,
        parameters=[ONCE],
        responses={200: MixWishSerializer, 201: MixWishSerializer, **WRITTEN},
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewWishSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        given, by = sent.validated_data, cast(User, request.user)
        mixes = MonitorMix.objects.filter(production=self.production)
        found = get_object_or_404(mixes, pk=given["mix"])
        shows = Show.objects.filter(leg__production=self.production).select_related("leg")
        show = get_object_or_404(shows, pk=given["show"])
        done = done_once(request, lambda: wish(found, show, given["words"], by=by).pk)
        code = status.HTTP_201_CREATED if done.is_new else status.HTTP_200_OK
        return Response(self.get_serializer(MixWish.objects.get(pk=done.made)).data, code)

    def rows(self) -> QuerySet[Any]:
        asked = WishQuery.of(self.request, self.production)
        wishes = MixWish.objects.filter(mix__production=self.production, **asked)
        return wishes.prefetch_related("marks")


class OneMixWish(ProductionView):
    serializer_class = MixWishSerializer
    queryset = MixWish.objects.none()
    action: ClassVar = Action.READ
    write: ClassVar = Action.WISH

    @extend_schema(
        operation_id="mix_wishes_mark",
        summary="Say what became of a wish",
        request=WishMarkSerializer,
        parameters=[ONCE],
        responses={200: MixWishSerializer, **WRITTEN},
    )
    def put(self, request: Request, **_: Any) -> Response:
        sent = WishMarkSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        found = self.get_object()
        by, may_edit = cast(User, request.user), allowed(self.member.roles, Action.EDIT_MIX)
        state = sent.validated_data["state"]

        def act() -> UUID:
            mark(found, state, by=by, may_edit=may_edit)
            return found.pk

        done_once(request, act)
        return Response(self.get_serializer(MixWish.objects.get(pk=found.pk)).data)

    def get_object(self) -> MixWish:
        """The wish in the address. OPTIONS asks for it, too."""
        wishes = MixWish.objects.filter(mix__production=self.production).select_related("mix")
        found: MixWish = get_object_or_404(wishes, pk=self.kwargs["wish"])
        return found
