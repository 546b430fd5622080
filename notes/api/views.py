"""Listening notes and sign-offs."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from django.http import Http404
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView
from core.api.serializers import ErrorSerializer
from core.api.views import ProductionList
from notes.api import serializers
from notes.api.filters import NoteQuery, SignOffQuery
from notes.journal.forms import NoteForm
from notes.models import Note, SignOff
from notes.queries import notes_of
from notes.signing.states import sign_off_status_of
from rigs.api.serializers import head_of
from rigs.api.views import RigApiView
from rigs.models import Rig


class Notes(ProductionList):
    serializer_class = serializers.NoteSerializer
    queryset = Note.objects.none()
    ordering: ClassVar = ("-written_at", "-pk")
    write: ClassVar = Action.WRITE_NOTE

    def found(self) -> QuerySet[Any]:
        asked = NoteQuery.of(self.request, self.production)
        about = asked.pop("input", None)
        found = notes_of(self.production).filter(**asked)
        return found.filter(inputs=about) if about else found

    @extend_schema(operation_id="notes_list", summary="Notes, newest first", parameters=[NoteQuery])
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="notes_create",
        summary="Write a note",
        request=serializers.NewNoteSerializer,
        responses={
            201: serializers.NoteSerializer,
            400: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = serializers.NewNoteSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        note = self._written(sent.validated_data)
        shown = notes_of(self.production).get(pk=note.pk)
        return Response(self.get_serializer(shown).data, status.HTTP_201_CREATED)

    def _written(self, sent: dict[str, Any]) -> Note:
        """The page's own form checks and writes it."""
        rig = Rig.objects.filter(pk=sent.pop("rig"), production=self.production).first()
        if rig is None:
            raise ImpossibleValues({"rig": "This production has no such rig."})
        blank = Note(production=self.production, rig=rig)
        form = NoteForm(sent, instance=blank, by=self.request.user)  # type: ignore[arg-type]
        if not form.is_valid():
            raise ImpossibleValues(form.errors.as_data())
        note: Note = form.save()
        return note


class OneNote(ProductionView):
    serializer_class = serializers.NoteSerializer
    queryset = Note.objects.none()

    def find_production(self) -> UUID:
        found = Note.objects.filter(pk=self.kwargs["note"]).values_list("production", flat=True)
        if not found:
            raise Http404("No such note.")
        return found[0]

    @extend_schema(operation_id="notes_retrieve", summary="One note")
    def get(self, request: Request, **_: Any) -> Response:
        note = get_object_or_404(notes_of(self.production), pk=self.kwargs["note"])
        return Response(self.get_serializer(note).data)


@extend_schema_view(
    get=extend_schema(
        operation_id="sign_offs_list",
        summary="What was signed and withheld, newest first",
        parameters=[SignOffQuery],
    )
)
class SignOffs(ProductionList):
    serializer_class = serializers.SignOffSerializer
    queryset = SignOff.objects.none()
    ordering: ClassVar = ("-at", "-pk")

    def found(self) -> QuerySet[Any]:
        asked = SignOffQuery.of(self.request, self.production)
        found = SignOff.objects.filter(rig__production=self.production, **asked)
        return found.select_related("revision")


class RigSignOffs(RigApiView):
    serializer_class = serializers.StandingSerializer

    @extend_schema(operation_id="rig_sign_offs", summary="Where a rig stands with each party")
    def get(self, request: Request, **_: Any) -> Response:
        standing = sign_off_status_of(self.rig)
        shown = {
            "head": head_of(self.rig),
            "signed_sound": standing.signed_sound,
            "parties": standing.parties,
        }
        return Response(self.get_serializer(shown).data)
