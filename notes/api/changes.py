"""The history of a production: every revision, and the change log that says why."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view

from core.api.views import ProductionList
from notes.api import serializers
from notes.api.filters import ChangeQuery
from notes.journal.log import revisions_of
from notes.models import Note
from rigs.api.serializers import RevisionSerializer
from rigs.models import Revision

NAMES = {"date_from": "since", "date_to": "until", "reason_kind": "reason"}


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
    ordering: ClassVar = ("-pk",)
    everything: ClassVar[bool] = True

    def found(self) -> QuerySet[Any]:
        asked = ChangeQuery.of(self.request, self.production)
        chosen = {NAMES.get(name, name): value for name, value in asked.items()}
        found = revisions_of(self.production, everything=self.everything, **chosen)
        return found.prefetch_related("changes")


@extend_schema_view(
    get=extend_schema(
        operation_id="changes_list",
        parameters=[ChangeQuery],
        summary="The change log: what was changed for a reason or on an input, newest first",
    )
)
class Changes(Revisions):
    serializer_class = serializers.LoggedSerializer
    everything = False

    def found(self) -> QuerySet[Any]:
        in_order = Note.objects.order_by("written_at", "pk")
        return super().found().prefetch_related(Prefetch("follow_ups", in_order))
