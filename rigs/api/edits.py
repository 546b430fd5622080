"""A change as it is sent: the base it was made on, why, and the edits."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, cast
from uuid import uuid4

from django.core.validators import ProhibitNullCharactersValidator
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.validators import ProhibitSurrogateCharactersValidator

from core.units import plain
from rigs.changes.edits import Add, Edit, Retire, Set, Value
from rigs.changes.reasons import LABELS, Reason, ReasonKind
from rigs.inputs.api import NewDeviceSerializer
from rigs.inputs.device_words import MAX_LINES
from rigs.models import PARTS

MOST_EDITS = 500
# Named in the schema by SPECTACULAR_SETTINGS.
PART_KINDS = [(kind, kind) for kind in PARTS]
REASON_KINDS = [(str(kind), label) for kind, label in LABELS.items()]
SCALAR = {
    "oneOf": [{"type": "string"}, {"type": "number"}, {"type": "boolean"}],
    "nullable": True,
}


@extend_schema_field(SCALAR)
class Scalar(serializers.Field):  # type: ignore[type-arg]
    """One value of a field: text, a number, true, false or null. Numbers stay exact."""

    default_error_messages = {
        "kind": "A value is text, a number, true, false or null.",
        "range": "This number is out of all proportion.",
    }

    def __init__(self, **more: Any) -> None:
        super().__init__(allow_null=True, **more)

    def to_internal_value(self, data: Any) -> Value:
        if isinstance(data, Decimal):
            return self._exact(data)
        if not isinstance(data, str | int | bool):
            self.fail("kind")
        if isinstance(data, str):
            ProhibitNullCharactersValidator()(data)
            ProhibitSurrogateCharactersValidator()(data)
        return data

    def _exact(self, number: Decimal) -> str:
        # Written out in full, 1e999999 would fill the memory.
        if abs(number.adjusted()) > 30:
            self.fail("range")
        return plain(number)

    def to_representation(self, value: Any) -> Any:
        return value


class EditSerializer(serializers.Serializer[Any]):
    """`add` a part (its id is made up if left out), `set` some of its fields, or `retire` it."""

    op = serializers.ChoiceField(choices=["add", "set", "retire"])
    kind = serializers.ChoiceField(choices=PART_KINDS)
    part = serializers.UUIDField(required=False, help_text="May be left out of an `add`.")
    fields = serializers.DictField(child=Scalar(), required=False)  # type: ignore[assignment]

    def validate(self, data: dict[str, Any]) -> dict[str, Any]:
        if data["op"] != "add" and "part" not in data:
            raise serializers.ValidationError({"part": [_("Name the part.")]})
        if data["op"] == "retire" and data.get("fields"):
            raise serializers.ValidationError(
                {"fields": [_("What is retired takes no new values.")]}
            )
        if data["op"] != "set" and data["kind"] == "rig":
            raise serializers.ValidationError(
                {
                    "op": [
                        _("A rig is there already; set its field “{field}” to put it away.").format(
                            field="retired"
                        )
                    ]
                }
            )
        return data


class ReasonSerializer(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=REASON_KINDS)
    words = serializers.CharField(required=False, allow_blank=True, default="", max_length=2000)
    notes = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        default=list,
        max_length=50,
        help_text="Ids of listening notes, for the kind “notes”.",
    )


class ChangeSerializer(serializers.Serializer[Any]):
    """What is sent to change a rig."""

    base = serializers.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        help_text="The number of the newest change you have seen of this rig.",
    )
    reason = ReasonSerializer(required=False)
    edits = serializers.ListField(child=EditSerializer(), min_length=1, max_length=MOST_EDITS)
    devices = serializers.ListField(
        child=NewDeviceSerializer(),
        required=False,
        default=list,
        max_length=MAX_LINES,
        help_text="Microphones and DIs that the edits point at and that are made with them.",
    )

    def reason_given(self) -> Reason:
        given = self.validated_data.get("reason")
        if given is None:
            return Reason()
        notes = tuple(dict.fromkeys(given["notes"]))
        return Reason(ReasonKind(given["kind"]), given["words"], notes)

    def edits_given(self) -> list[Edit]:
        return [_edit(each) for each in self.validated_data["edits"]]


def _edit(given: dict[str, Any]) -> Edit:
    part, kind = str(given.get("part") or uuid4()), given["kind"]
    if given["op"] == "retire":
        return Retire(part, kind)
    make = Add if given["op"] == "add" else Set
    return make(part, kind, cast("dict[str, Value]", given.get("fields", {})))
