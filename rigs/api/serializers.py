"""What the API shows of rigs and their history."""

from __future__ import annotations

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from core.api.fields import PlainSerializer
from core.api.serializers import ErrorSerializer
from rigs.api.edits import REASON_KINDS, Scalar
from rigs.api.readings import SettingReadingSerializer
from rigs.changes.edits import Snapshot
from rigs.models import ChangeRow, Revision, Rig

VALUE = {
    "description": "The value of a field, or a whole part that came or went; null: as by default.",
    "nullable": True,
}
SNAPSHOT = {
    "type": "object",
    "description": "Each live part by its id: its kind and the fields that are not at default.",
    "additionalProperties": {"type": "object", "additionalProperties": {}},
}


class HeadSerializer(serializers.Serializer[Any]):
    """The newest change of a rig: send its number as the base of the next."""

    number = serializers.IntegerField()
    digest = serializers.CharField()


class RigSerializer(PlainSerializer):
    head = serializers.SerializerMethodField()

    class Meta:
        model = Rig
        fields: ClassVar = ["id", "player", "name", "variant", "retired", "made_at", "head"]

    @extend_schema_field(HeadSerializer)
    def get_head(self, rig: Any) -> dict[str, Any]:
        return head_of(rig)


def head_of(rig: Rig) -> dict[str, Any]:
    return {"number": rig.head_number, "digest": rig.head_digest}


class WholeRigSerializer(serializers.Serializer[Any]):
    """A rig whole, as it is (or was `at` that change)."""

    id = serializers.UUIDField()
    production = serializers.UUIDField()
    player = serializers.UUIDField()
    head = HeadSerializer()
    at = HeadSerializer()
    snapshot = serializers.SerializerMethodField()

    @extend_schema_field(SNAPSHOT)
    def get_snapshot(self, whole: dict[str, Any]) -> Snapshot:
        snapshot: Snapshot = whole["snapshot"]
        return snapshot


class ChangeRowSerializer(serializers.ModelSerializer[ChangeRow]):
    old = serializers.SerializerMethodField()
    new = serializers.SerializerMethodField()

    class Meta:
        model = ChangeRow
        fields: ClassVar = ["part", "kind", "field", "old", "new"]

    @extend_schema_field(VALUE)
    def get_old(self, row: Any) -> Any:
        return row.old

    @extend_schema_field(VALUE)
    def get_new(self, row: Any) -> Any:
        return row.new


class AuthorSerializer(serializers.Serializer[Any]):
    id = serializers.UUIDField(allow_null=True)
    name = serializers.CharField(help_text="As it was then.")


class GivenReasonSerializer(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=REASON_KINDS)
    words = serializers.CharField()
    notes = serializers.ListField(child=serializers.UUIDField())


class TheirsSerializer(serializers.ModelSerializer[Revision]):
    """Who changed something, when, and why."""

    author = serializers.SerializerMethodField()
    reason = serializers.SerializerMethodField()

    class Meta:
        model = Revision
        fields: ClassVar = ["number", "at", "author", "reason"]

    @extend_schema_field(AuthorSerializer)
    def get_author(self, revision: Any) -> dict[str, Any]:
        return {"id": revision.author_id, "name": revision.author_name}

    @extend_schema_field(GivenReasonSerializer)
    def get_reason(self, revision: Any) -> dict[str, Any]:
        return {
            "kind": revision.reason_kind,
            "words": revision.reason_words,
            "notes": revision.note_ids,
        }


class RevisionSerializer(TheirsSerializer):
    """A change of a rig, with what it did and its place in the chain of digests. `written_at` is
    earlier than `at`, or null unless it waited on a device without a network; `device_said` is a
    moment that was not believed."""

    restored = serializers.IntegerField(
        allow_null=True, help_text="The number of the state this brought back."
    )
    changes = ChangeRowSerializer(many=True)

    class Meta:
        model = Revision
        fields: ClassVar = [
            "rig",
            "number",
            "at",
            "written_at",
            "device_said",
            "author",
            "reason",
            "restored",
            "parent_digest",
            "digest",
            "changes",
        ]


class WrittenSerializer(serializers.Serializer[Any]):
    """What came of a change; `revision` is null where nothing was different."""

    head = HeadSerializer()
    revision = RevisionSerializer(allow_null=True)
    readings = SettingReadingSerializer(
        many=True, help_text="Settings that can be a number or a time, as they were taken."
    )


class ClashSerializer(serializers.Serializer[Any]):
    """One field that both sides changed since the base. `field` is empty for a whole part."""

    part = serializers.UUIDField()
    kind = serializers.CharField()
    field = serializers.CharField()
    base = Scalar()
    now = Scalar()
    typed = Scalar()
    theirs = TheirsSerializer(help_text="The change that set what is there now.")


class ConflictSerializer(ErrorSerializer):
    head = HeadSerializer()
    clashes = ClashSerializer(many=True)


class DoubtSerializer(serializers.Serializer[Any]):
    """A setting that no longer fits the new device."""

    field = serializers.CharField()
    now = Scalar(help_text="What would be there.")
    safe = Scalar(help_text="What keeps gear and ears safe.")
    why = serializers.CharField()


class UndecidedSwapSerializer(serializers.Serializer[Any]):
    part = serializers.UUIDField(help_text="The input.")
    before = serializers.CharField()
    after = serializers.CharField()
    doubts = DoubtSerializer(many=True)


class ReasonRequiredSerializer(ErrorSerializer):
    changes = serializers.ListField(
        child=serializers.DictField(),
        required=False,
        help_text="With `reason_required`: part, kind and field of what needs a reason.",
    )
    swaps = UndecidedSwapSerializer(
        many=True,
        required=False,
        help_text="With `swap_undecided`: inputs that get another device, and what is left open.",
    )
