"""The history of a production over the API: every revision, and the change log that says why."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers

from core.api.queries import Here, ListQuery
from core.api.views import ProductionList
from core.models import Player, User
from notes.journal.log import revisions_of
from notes.models import Note
from rigs.api.edits import REASON_KINDS
from rigs.api.serializers import RevisionSerializer
from rigs.models import Device, Input, Revision, Rig

# Parameters of the API → arguments of `revisions_of`, where they differ.
NAMES = {"date_from": "since", "date_to": "until", "reason_kind": "reason"}


class FollowUpSerializer(serializers.ModelSerializer[Note]):
    class Meta:
        model = Note
        fields: ClassVar = ["id", "outcome", "verdict", "written_at"]


class LoggedSerializer(RevisionSerializer):
    """A change in the log, with the notes that say how it turned out."""

    follow_ups = FollowUpSerializer(many=True)

    class Meta(RevisionSerializer.Meta):
        fields: ClassVar = [*RevisionSerializer.Meta.fields, "follow_ups"]


class ChangeQuery(ListQuery):
    """Both dates count whole, in the time zone of the service."""

    rig = Here(Rig)
    player = Here(Player)
    input = Here(Input, "rig__production")
    device = Here(Device, help_text="Changes that put it there or took it away.")
    author = Here(User, "memberships__production")
    date_from = serializers.DateField(required=False)
    date_to = serializers.DateField(required=False)
    reason_kind = serializers.ChoiceField(choices=REASON_KINDS, required=False)


@extend_schema_view(
    get=extend_schema(
        operation_id="revisions_list",
        summary="Every change of every rig, newest first",
        parameters=[ChangeQuery],
    )
)
class Revisions(ProductionList):
    serializer_class = RevisionSerializer
    queryset = Revision.objects.none()
    # Keys grow over all rigs of a database; numbers begin anew for each rig.
    ordering: ClassVar = ("-at", "-pk")
    everything: ClassVar[bool] = True

    def rows(self) -> QuerySet[Any]:
        asked = ChangeQuery.of(self.request, self.production)
        chosen = {NAMES.get(name, name): value for name, value in asked.items()}
        revisions = revisions_of(self.production, everything=self.everything, **chosen)
        return revisions.prefetch_related("changes")


@extend_schema_view(
    get=extend_schema(
        operation_id="changes_list",
        parameters=[ChangeQuery],
        summary="The change log: what was changed for a reason or on an input, newest first",
    )
)
class Changes(Revisions):
    serializer_class = LoggedSerializer
    everything = False

    def rows(self) -> QuerySet[Any]:
        in_order = Note.objects.order_by("written_at", "pk")
        return super().rows().prefetch_related(Prefetch("follow_ups", in_order))
