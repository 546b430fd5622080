"""Listening notes over the API: list, one, write one."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError as ImpossibleValues
from django.db.models import QuerySet
from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.generics import get_object_or_404
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from core.access.policy import Action
from core.api.base import ProductionView, production_of
from core.api.fields import PlainSerializer
from core.api.once import ONCE, done_once
from core.api.parsing import ExactJSONParser
from core.api.queries import Here, ListQuery
from core.api.serializers import ErrorSerializer, PersonSerializer
from core.api.views import ProductionList
from notes.journal.forms import NoteForm
from notes.memos.api import NoteMemoSerializer
from notes.memos.forms import prepare_files
from notes.models import ListeningSession, Note
from notes.photos.api import NotePhotoSerializer
from notes.queries import notes_of
from notes.states import NoteState, in_state
from rigs.models import Input, Rig

VERDICTS, OUTCOMES = Note.Verdict.choices, Note.Outcome.choices
NOTE_STATES = NoteState.choices


class LedToSerializer(serializers.Serializer[Any]):
    """The last change that was made because of a note, and how that turned out."""

    rig = serializers.UUIDField()
    number = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices=OUTCOMES, allow_null=True)


class NoteSerializer(PlainSerializer):
    """A note; `state` is derived from what followed. `heard_at` is the number of the rig's newest
    change on the page it was written on. `page_at`, `arrived_at` and `device_said` are null unless
    it waited on a device without a network: then `written_at` is before `arrived_at`, and
    `device_said` is a moment that was not believed."""

    written_by = PersonSerializer()
    follows = serializers.SerializerMethodField(help_text="The number of the change it listens to.")
    state = serializers.ChoiceField(choices=NOTE_STATES)
    led_to = serializers.SerializerMethodField()
    photos = NotePhotoSerializer(source="shown_photos", many=True)
    memo = serializers.SerializerMethodField()

    class Meta:
        model = Note
        fields: ClassVar = [
            "id",
            "rig",
            "heard_at",
            "verdict",
            "words",
            "said_by_player",
            "said_by_name",
            "reading",
            "inputs",
            "units",
            "song",
            "section",
            "take",
            "session",
            "follows",
            "outcome",
            "written_by",
            "written_at",
            "page_at",
            "arrived_at",
            "device_said",
            "settled_words",
            "settled_at",
            "photos",
            "memo",
            "state",
            "led_to",
        ]

    def get_follows(self, note: Any) -> int | None:
        return note.follows.number if note.follows else None

    @extend_schema_field(NoteMemoSerializer(allow_null=True))
    def get_memo(self, note: Any) -> dict[str, Any] | None:
        # Without a memo Django raises an AttributeError here, which getattr takes for None.
        memo = getattr(note, "memo", None)
        return NoteMemoSerializer(memo).data if memo else None

    @extend_schema_field(LedToSerializer(allow_null=True))
    def get_led_to(self, note: Any) -> dict[str, Any] | None:
        if note.led_to_revision is None:
            return None
        return {
            "rig": note.led_to_rig,
            "number": note.led_to_number,
            "outcome": note.last_outcome or None,
        }


class NewNoteSerializer(serializers.Serializer[Any]):
    """What is sent to write a note, as JSON, or as multipart/form-data with a voice memo. Words, a
    reading or a memo are needed, unless it is about inputs or units; the rules are those of the
    page."""

    rig = serializers.UUIDField()
    verdict = serializers.ChoiceField(choices=VERDICTS)
    words = serializers.CharField(required=False, allow_blank=True)
    said_by_player = serializers.UUIDField(required=False, allow_null=True)
    said_by_name = serializers.CharField(required=False, allow_blank=True)
    reading = serializers.CharField(required=False, allow_blank=True)
    inputs = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=200)
    units = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=200)
    song = serializers.UUIDField(required=False, allow_null=True)
    section = serializers.UUIDField(required=False, allow_null=True)
    take = serializers.CharField(required=False, allow_blank=True)
    session = serializers.UUIDField(required=False, allow_null=True)
    memo = serializers.FileField(
        required=False, allow_empty_file=True, help_text="A voice memo of at most five minutes."
    )


class NoteQuery(ListQuery):
    rig = Here(Rig)
    input = Here(Input, "rig__production")
    session = Here(ListeningSession)
    state = serializers.ChoiceField(choices=NOTE_STATES, required=False)
    verdict = serializers.ChoiceField(choices=VERDICTS, required=False)


class Notes(ProductionList):
    serializer_class = NoteSerializer
    queryset = Note.objects.none()
    ordering: ClassVar = ("-written_at", "-pk")
    write: ClassVar = Action.WRITE_NOTE
    parser_classes = (ExactJSONParser, MultiPartParser)

    def rows(self) -> QuerySet[Any]:
        asked = NoteQuery.of(self.request, self.production)
        about = asked.pop("input", None)
        state = asked.pop("state", "")
        notes = notes_of(self.production).filter(**asked)
        notes = in_state(notes, state) if state else notes
        # One input only, so the join cannot list a note twice.
        return notes.filter(inputs=about) if about else notes

    @extend_schema(operation_id="notes_list", summary="Notes, newest first", parameters=[NoteQuery])
    def get(self, request: Request, **_: Any) -> Response:
        return self.list(request)

    @extend_schema(
        operation_id="notes_create",
        summary="Write a note",
        request={
            "application/json": NewNoteSerializer,
            "multipart/form-data": NewNoteSerializer,
        },
        parameters=[ONCE],
        description="200 with the note that is there, where the same request came with this "
        "Idempotency-Key before.",
        responses={
            200: NoteSerializer,
            201: NoteSerializer,
            400: ErrorSerializer,
            409: ErrorSerializer,
            422: ErrorSerializer,
        },
    )
    def post(self, request: Request, **_: Any) -> Response:
        sent = NewNoteSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        prepare_files(request._request)  # before the transaction: a sound takes seconds
        done = done_once(request, lambda: self._written(sent.validated_data).pk)
        # Read back: the state and what followed are annotations, which a note just written lacks.
        shown = notes_of(self.production).get(pk=done.made)
        code = status.HTTP_201_CREATED if done.is_new else status.HTTP_200_OK
        return Response(self.get_serializer(shown).data, code)

    def _written(self, sent: dict[str, Any]) -> Note:
        """The page's own form checks and writes it."""
        # The form has no field for the rig, because the page has it in its address.
        rig = Rig.objects.filter(pk=sent.pop("rig"), production=self.production).first()
        if rig is None:
            raise ImpossibleValues({"rig": gettext("This production has no such rig.")})
        blank = Note(production=self.production, rig=rig)
        memo = sent.pop("memo", None)
        files = {"memo": memo} if memo is not None else {}
        form = NoteForm(sent, files, instance=blank, by=self.request.user)  # type: ignore[arg-type]
        if not form.is_valid():
            raise ImpossibleValues(form.errors.as_data())
        note: Note = form.save()
        return note


class OneNote(ProductionView):
    serializer_class = NoteSerializer
    queryset = Note.objects.none()

    def find_production(self) -> UUID:
        return production_of(Note.objects.filter(pk=self.kwargs["note"]), "production", "note")

    @extend_schema(operation_id="notes_retrieve", summary="One note")
    def get(self, request: Request, **_: Any) -> Response:
        note = get_object_or_404(notes_of(self.production), pk=self.kwargs["note"])
        return Response(self.get_serializer(note).data)
