"""The rehearsal room."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError

from core.forms.base import EditForm, TemperatureField
from core.models import RehearsalRoom


class RehearsalRoomForm(EditForm):
    class Meta:
        model = RehearsalRoom
        fields = ["name", "temperature_c", "humidity_pct", "pressure_kpa", "listening_distance_m"]
        field_classes = {"temperature_c": TemperatureField}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["listening_distance_m"].help_text = "3.5 m, 12 ft, 11' 6\" …"
        if self.instance._state.adding:
            # A production has one: who opened an empty form must notice one entered meanwhile.
            self.initial["version"] = 0

    def try_save(self) -> bool:
        try:
            return super().try_save()
        except IntegrityError:
            self.add_error(None, self.stale_message)
            return False
