"""A form for each kind of part that is typed."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.db.models import Q

from rigs.editing.part_forms import PartForm
from rigs.editing.swaps import DecidesSwap
from rigs.fields import DEVICE, IN_PLAN, MIX, NOTES, WHERE, rows_of
from rigs.gear import gear_choices
from rigs.models import Control, Device, Input, Link, Rig, Spare, Unit

NOTE_ROWS = {"notes": forms.Textarea(attrs={"rows": 3})}


def units_of(rig: Rig, *kept: Any) -> Any:
    """The units in use, and those that a part already points at."""
    return Unit.objects.filter(Q(retired=False) | Q(pk__in=[pk for pk in kept if pk]), rig=rig)


def devices_of(rig: Rig, kept: Any = None) -> Any:
    """The microphones and DIs in use, and the one that an input already has."""
    found = Device.objects.filter(Q(retired_at=None) | Q(pk=kept), production=rig.production_id)
    return found.order_by("form", "maker", "name")


class RigForm(PartForm):
    class Meta:
        model = Rig
        fields = ("name", "variant", "sound", "notes")
        widgets = {"sound": forms.Textarea(attrs={"rows": 4}), **NOTE_ROWS}


# What the fields of a plan are called on a form; a minus turns each round.
PLAN = ("plan_right_m", "plan_front_m")
PLAN_HELP = {
    "plan_right_m": "As the drummer sits, tape held level: 62 cm, or −62 cm to the left.",
    "plan_front_m": "Away from the drummer, tape held level: 45 cm, or −45 cm behind the snare.",
}


ON_THE_ROAD = ("stage_position", "packed_in")


class UnitForm(PartForm):
    GROUPS = (("On stage and on the road", ON_THE_ROAD), (IN_PLAN, PLAN))

    class Meta:
        model = Unit
        fields = (
            "name",
            "gear",
            "maker",
            "model",
            "serial",
            "tuning",
            "notes",
            *ON_THE_ROAD,
            *PLAN,
        )
        widgets = NOTE_ROWS
        help_texts = PLAN_HELP

    def limit_choices(self) -> None:
        """Only what belongs to a kit has a place in its plan; what is there stays seen."""
        self.fields["gear"].choices = gear_choices()  # type: ignore[attr-defined]
        if not self.row.traits.of_a_kit:  # type: ignore[attr-defined]
            for name in PLAN:
                unset = self.initial.get(name) in (None, "")
                if unset and self.add_prefix(name) not in self.data:
                    del self.fields[name]


class SpareForm(PartForm):
    GROUPS = (
        ("Strings and heads", ("gauges", "side", "pitch")),
        ("How many, how often", ("in_use", "carried", "every", "per")),
    )

    class Meta:
        model = Spare
        fields = (
            "sort",
            "what",
            "maker",
            "gauges",
            "side",
            "pitch",
            "in_use",
            "carried",
            "every",
            "per",
        )


class ControlForm(PartForm):
    GROUPS = (("What it offers", ("low", "high", "choices", "symbol")),)

    class Meta:
        model = Control
        fields = ("name", "style", "setting", "low", "high", "choices", "symbol")


class LinkForm(PartForm):
    class Meta:
        model = Link
        fields = (
            "source",
            "target",
            "from_socket",
            "to_socket",
            "carries",
            "cable",
            "connectors",
            "length_m",
        )
        labels = {
            "source": "from",
            "target": "to",
            "from_socket": "out of socket",
            "to_socket": "into socket",
        }
        help_texts: ClassVar = {
            "from_socket": "Of an effects loop: send.",
            "to_socket": "Of an effects loop: return.",
        }

    def limit_choices(self) -> None:
        for name in ("source", "target"):
            ends: Any = self.fields[name]
            ends.queryset = units_of(self.rig, self.initial.get(name))
            ends.empty_label = "choose a unit"


def _form_groups(kind: str, headings: tuple[str, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The fields of a kind of part under the headings of its form, in the form's order."""
    rows = sorted(rows_of(kind), key=lambda row: row.group_order)
    return tuple((title, tuple(r.name for r in rows if r.group == title)) for title in headings)


def _all_fields(kind: str, groups: tuple[tuple[str, tuple[str, ...]], ...]) -> tuple[str, ...]:
    """What a part is called by, then what stands under the headings."""
    named = tuple(row.name for row in rows_of(kind) if row.names_part)
    return (*named, *(name for _, names in groups for name in names))


GROUPS_OF_INPUT = _form_groups(Input.KIND, (DEVICE, WHERE, IN_PLAN, MIX, NOTES))


class InputForm(DecidesSwap, PartForm):
    GROUPS = GROUPS_OF_INPUT

    class Meta:
        model = Input
        fields = _all_fields(Input.KIND, GROUPS_OF_INPUT)
        widgets = NOTE_ROWS
        help_texts: ClassVar = {
            **PLAN_HELP,
            "height_m": "Above the point it is measured from, not above the floor; −3 cm is below.",
            "offset_m": "To the right of that point as one looks at the source; −3 cm to the left.",
        }

    def limit_choices(self) -> None:
        self.add_decided()
        units: Any = self.fields["unit"]
        units.queryset = units_of(self.rig, self.initial.get("unit"))
        units.empty_label = "nothing in the rig (room, audience …)"
        devices: Any = self.fields["device"]
        devices.queryset = devices_of(self.rig, self.initial.get("device"))
        devices.empty_label = "not decided yet"

    def typed(self) -> list[str]:
        """What was asked about a swap counts as typed, whether or not it was changed."""
        asked = self.decided() if hasattr(self, "cleaned_data") else []
        return list(dict.fromkeys([*super().typed(), *asked]))
