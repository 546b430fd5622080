"""Players, legs, shows, songs and sections."""

from __future__ import annotations

from typing import Any

from core.forms.base import DateInput, EditForm, TemperatureField
from core.forms.durations import DurationInput
from core.models import Leg, Player, Section, Show, Song


class PlayerForm(EditForm):
    class Meta:
        model = Player
        fields = ["name", "instrument"]


class LegForm(EditForm):
    class Meta:
        model = Leg
        fields = ["name", "starts_on", "ends_on", "notes"]
        widgets = {"starts_on": DateInput, "ends_on": DateInput}


class ShowForm(EditForm):
    class Meta:
        model = Show
        fields = [
            "held_on",
            "room",
            "town",
            "temperature_c",
            "humidity_pct",
            "pressure_kpa",
            "mix_distance_m",
            "notes",
        ]
        widgets = {"held_on": DateInput}
        field_classes = {"temperature_c": TemperatureField}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["mix_distance_m"].help_text = "24.5 m, 80 ft, 80' 6\" …"


class SongForm(EditForm):
    length_s = DurationInput(label="Length", help_text="4:05")
    gap_s = DurationInput(
        label="Gap after it",
        help_text="Until the next song starts: 0:20. 0:00 where one runs into the next. Leave "
        "empty while it is not known.",
    )

    class Meta:
        model = Song
        fields = ["title", "tempo_bpm", "length_s", "gap_s", "reference", "notes"]


class SectionForm(EditForm):
    class Meta:
        model = Section
        fields = ["name"]
