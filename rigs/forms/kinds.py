"""A form for each kind of part that is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q

from rigs.forms.parts import PartForm
from rigs.models import Control, Device, Input, Link, Rig, Unit

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


class UnitForm(PartForm):
    class Meta:
        model = Unit
        fields = ("name", "gear", "maker", "model", "serial", "tuning", "notes")
        widgets = NOTE_ROWS


class ControlForm(PartForm):
    GROUPS = (("What it offers", ("low", "high", "choices", "symbol")),)

    class Meta:
        model = Control
        fields = ("name", "style", "setting", "low", "high", "choices", "symbol")


class LinkForm(PartForm):
    class Meta:
        model = Link
        fields = ("source", "target", "from_socket", "to_socket", "carries", "cable", "length_m")
        labels = {
            "source": "from", "target": "to", "from_socket": "out of socket",
            "to_socket": "into socket",
        }  # fmt: skip

    def limit_choices(self) -> None:
        for name in ("source", "target"):
            ends: Any = self.fields[name]
            ends.queryset = units_of(self.rig, self.initial.get(name))
            ends.empty_label = "choose a unit"


class InputForm(PartForm):
    GROUPS = (
        ("Microphone or DI", ("device", "phantom", "reversed_polarity", "stand", "stage_position")),
        ("Where it stands", (
            "unit", "aimed_at", "reference_point", "distance_m", "angle_deg", "height_m",
            "offset_m",
        )),
        ("Baseline mix", ("gain_db", "pad_db", "high_pass_hz", "low_pass_hz", "pan")),
        ("Notes", ("notes",)),
    )  # fmt: skip

    class Meta:
        model = Input
        fields = (
            "number", "name", "device", "phantom", "reversed_polarity", "stand", "stage_position",
            "unit", "aimed_at", "reference_point", "distance_m", "angle_deg", "height_m",
            "offset_m", "gain_db", "pad_db", "high_pass_hz", "low_pass_hz", "pan", "notes",
        )  # fmt: skip
        widgets = NOTE_ROWS

    def limit_choices(self) -> None:
        units: Any = self.fields["unit"]
        units.queryset = units_of(self.rig, self.initial.get("unit"))
        units.empty_label = "nothing in the rig (room, audience …)"
        devices: Any = self.fields["device"]
        devices.queryset = devices_of(self.rig, self.initial.get("device"))
        devices.empty_label = "not decided yet"


PART_FORMS: dict[str, type[PartForm]] = {
    "rig": RigForm, "unit": UnitForm, "control": ControlForm, "link": LinkForm, "input": InputForm,
}  # fmt: skip
