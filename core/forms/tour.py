"""Players, legs, shows, songs and sections."""

from __future__ import annotations

from core.forms.base import DateInput, EditForm
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
            "held_on", "room", "town", "temperature_c", "humidity_pct", "mix_distance_m", "notes",
        ]  # fmt: skip
        widgets = {"held_on": DateInput}


class SongForm(EditForm):
    class Meta:
        model = Song
        fields = ["title", "tempo_bpm", "reference", "notes"]


class SectionForm(EditForm):
    class Meta:
        model = Section
        fields = ["name"]
