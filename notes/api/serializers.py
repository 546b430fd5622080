"""What the API shows of notes, the change log and sign-offs."""

from __future__ import annotations

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from core.api.fields import PlainSerializer
from core.api.serializers import PersonSerializer
from notes.models import Note, Party, SignOff
from notes.signing.states import PartyStatus as Standing
from notes.states import NoteState
from rigs.api.serializers import HeadSerializer, RevisionSerializer

VERDICTS, OUTCOMES, PARTIES = Note.Verdict.choices, Note.Outcome.choices, Party.choices
NOTE_STATES = NoteState.choices
PARTY_STATES = [(str(state), str(state)) for state in Standing]


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
            "state",
            "led_to",
        ]

    def get_follows(self, note: Any) -> int | None:
        return note.follows.number if note.follows else None

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
    """What is sent to write a note. Words or a reading are needed; the rules are those of the
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


class FollowUpSerializer(serializers.ModelSerializer[Note]):
    class Meta:
        model = Note
        fields: ClassVar = ["id", "outcome", "verdict", "written_at"]


class LoggedSerializer(RevisionSerializer):
    """A change in the log, with the notes that say how it turned out."""

    follow_ups = FollowUpSerializer(many=True)

    class Meta(RevisionSerializer.Meta):
        fields: ClassVar = [*RevisionSerializer.Meta.fields, "follow_ups"]


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


class StandingSerializer(serializers.Serializer[Any]):
    head = HeadSerializer()
    signed_sound = serializers.CharField(
        allow_null=True, help_text="How it should sound, as the player signed it."
    )
    parties = PartySerializer(many=True)
