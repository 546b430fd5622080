"""The form of an entry of the catalogue of microphones and DIs, and what may change in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy

from core.forms.base import EditForm
from rigs.models import ChangeRow, Device, Input, ShowInput


class DeviceForm(EditForm):
    """What a rig's history relies on is shown, and refused where it is sent otherwise."""

    # Cases are gone through maker by maker, sort by sort. Figures and serials are of one model.
    SAME_AGAIN = ("maker", "form", "principle", "pattern", "phantom", "packed_in", "currency")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.is_mentioned = is_mentioned(self.instance)
        if self.is_mentioned:
            for name in Device.IDENTITY:
                self.fields[name].disabled = True
            self.fields["name"].help_text = FIXED

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        # Django takes a disabled field as unchanged and would drop what was sent without a word.
        sent = {name: self.data[name] for name in Device.IDENTITY if name in self.data}
        try:
            check_identity(self.instance, sent)
        except ValidationError as refusal:
            self.add_error(None, refusal)
        return cleaned

    class Meta:
        model = Device
        fields = (
            "name",
            "maker",
            "form",
            "principle",
            "pattern",
            "phantom",
            "sensitivity_mv_pa",
            "max_spl_db",
            "self_noise_db",
            "impedance_ohm",
            "owned",
            "serials",
            "packed_in",
            "weight_kg",
            "country_of_origin",
            "worth",
            "currency",
            "notes",
        )
        widgets = {
            "notes": forms.Textarea(attrs={"rows": 3}),
            "serials": forms.Textarea(attrs={"rows": 3}),
        }


FIXED = gettext_lazy(
    "A rig’s history mentions this microphone or DI, so its name, maker and principle stay. "
    "Another microphone is another entry."
)


def is_mentioned(device: Device) -> bool:
    """Whether a rig's history speaks of `device`, today or in the past."""
    if device._state.adding:
        return False
    if Input.objects.filter(device=device).exists():
        return True
    if ShowInput.objects.filter(device=device).exists():
        return True
    pk = str(device.pk)
    # Values of the history are JSON, a whole part or one field; the id is found in either.
    mentioned = Q(old_json__contains=pk) | Q(new_json__contains=pk)
    history = ChangeRow.objects.filter(revision__rig__production=device.production_id, kind="input")
    return history.filter(mentioned).exists()


def check_identity(device: Device, values: Mapping[str, Any]) -> None:
    """Raise ValidationError, keyed by field, for a change of what the history relies on.

    `device` is as it is on file, `values` what it is to become.
    """
    moved = [n for n in Device.IDENTITY if n in values and values[n] != getattr(device, n)]
    if moved and is_mentioned(device):
        raise ValidationError(dict.fromkeys(moved, FIXED))
