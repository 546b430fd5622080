"""Sign-offs over the API: what was signed and withheld, and where a rig stands."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from core.api.queries import Here, ListQuery
from core.api.views import ProductionList
from notes.models import Party, SignOff
from notes.signing.states import PartyStatus, sign_off_status_of
from rigs.api.serializers import HeadSerializer, head_of
from rigs.api.views import RigApiView
from rigs.models import Rig

PARTIES = Party.choices
PARTY_STATES = [(str(state), str(state)) for state in PartyStatus]


class SignOffSerializer(serializers.ModelSerializer[SignOff]):
    revision = serializers.IntegerField(
        source="revision.number", help_text="The number of the change that was signed."
    )

    class Meta:
        model = SignOff
        fields: ClassVar = [
            "id",
            "rig",
            "revision",
            "revision_digest",
            "party",
            "decision",
            "words",
            "player",
            "name",
            "at",
            "seal",
        ]


class PartySerializer(serializers.Serializer[Any]):
    """Where one party stands. `changes_since` counts what came after its last word; `signed` with
    some of them means that the sound is what was signed all the same."""

    party = serializers.ChoiceField(choices=PARTIES)
    state = serializers.ChoiceField(choices=PARTY_STATES)
    changes_since = serializers.IntegerField()
    sign_off = SignOffSerializer(allow_null=True)


class SignOffStatusSerializer(serializers.Serializer[Any]):
    head = HeadSerializer()
    signed_sound = serializers.CharField(
        allow_null=True, help_text="How it should sound, as the player signed it."
    )
    parties = PartySerializer(many=True)


class SignOffQuery(ListQuery):
    rig = Here(Rig)
    party = serializers.ChoiceField(choices=PARTIES, required=False)


@extend_schema_view(
    get=extend_schema(
        operation_id="sign_offs_list",
        summary="What was signed and withheld, newest first",
        parameters=[SignOffQuery],
    )
)
class SignOffs(ProductionList):
    serializer_class = SignOffSerializer
    queryset = SignOff.objects.none()
    ordering: ClassVar = ("-at", "-pk")

    def rows(self) -> QuerySet[Any]:
        asked = SignOffQuery.of(self.request, self.production)
        sign_offs = SignOff.objects.filter(rig__production=self.production, **asked)
        return sign_offs.select_related("revision")


class RigSignOffs(RigApiView):
    serializer_class = SignOffStatusSerializer

    @extend_schema(operation_id="rig_sign_offs", summary="Where a rig stands with each party")
    def get(self, request: Request, **_: Any) -> Response:
        status = sign_off_status_of(self.rig)
        shown = {
            "head": head_of(self.rig),
            "signed_sound": status.signed_sound,
            "parties": status.parties,
        }
        return Response(self.get_serializer(shown).data)
