"""An entry of the catalogue of microphones and DIs."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from core.forms.base import EditForm
from rigs.models import Device
from rigs.services.devices import FIXED, check_identity, is_mentioned


class DeviceForm(EditForm):
    """What a rig's history relies on is shown, and refused where it is sent otherwise."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.is_mentioned = is_mentioned(self.instance)
        if self.is_mentioned:
            for name in Device.IDENTITY:
                self.fields[name].disabled = True
            self.fields["name"].help_text = FIXED

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        # A disabled field reads as unchanged whatever was sent; that would be silence.
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
            "notes",
        )
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}
