"""An entry of the catalogue of microphones and DIs."""

from __future__ import annotations

from typing import Any

from django import forms

from core.forms.base import EditForm
from rigs.models import Device
from rigs.services.devices import FIXED, check_identity, is_mentioned


class DeviceForm(EditForm):
    """What a rig's history relies on is shown, and refused where it is sent otherwise."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.on_file = {name: getattr(self.instance, name) for name in Device.IDENTITY}
        self.is_mentioned = is_mentioned(self.instance)
        if self.is_mentioned:
            for name in Device.IDENTITY:
                self.fields[name].disabled = True
            self.fields["name"].help_text = FIXED

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in Device.IDENTITY if self.is_mentioned else ():
            if self.data.get(name, self.on_file[name]) != self.on_file[name]:
                self.add_error(name, FIXED)
        return cleaned

    def save(self, commit: bool = True) -> Any:
        if not self.instance._state.adding:
            check_identity(Device.objects.get(pk=self.instance.pk), self.cleaned_data)
        return super().save(commit=commit)

    class Meta:
        model = Device
        fields = (
            "name", "maker", "form", "principle", "pattern", "phantom", "sensitivity_mv_pa",
            "max_spl_db", "self_noise_db", "impedance_ohm", "notes",
        )  # fmt: skip
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}
