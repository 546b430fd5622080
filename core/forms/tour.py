"""Players, legs, shows, songs and sections."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.forms.base import DateInput, EditForm, TemperatureField
from core.forms.durations import DurationInput
from core.languages.choice import NAMES
from core.models import Leg, Player, Section, Show, Song


class PlayerForm(EditForm):
    class Meta:
        model = Player
        fields = ["name", "instrument", "language", "guest"]
        labels = {
            "name": gettext_lazy("Name"),
            "instrument": gettext_lazy("Instrument"),
            "language": gettext_lazy("language they speak"),
        }
        help_texts = {"language": gettext_lazy("Their words are marked as being in it.")}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["language"].choices = [  # type: ignore[attr-defined]
            ("", _("not said")),
            *NAMES.items(),
        ]


class LegForm(EditForm):
    class Meta:
        model = Leg
        fields = ["name", "starts_on", "ends_on", "notes"]
        labels = {"name": gettext_lazy("Name"), "notes": pgettext_lazy("remarks", "Notes")}
        widgets = {"starts_on": DateInput, "ends_on": DateInput}

    def for_another(self) -> dict[str, Any]:
        """The next leg begins after this one, at the earliest on the next day."""
        return {"starts_on": self.instance.ends_on + timedelta(days=1)}


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
            "mains_volts",
            "mains_hz",
            "notes",
        ]
        labels = {
            "room": gettext_lazy("Room"),
            "town": gettext_lazy("Town"),
            "notes": pgettext_lazy("remarks", "Notes"),
        }
        widgets = {"held_on": DateInput}
        field_classes = {"temperature_c": TemperatureField}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["mix_distance_m"].help_text = "24.5 m, 80 ft, 80' 6\" …"

    def for_another(self) -> dict[str, Any]:
        """The day after. Room, town, air and distance are of one room."""
        return {"held_on": self.instance.held_on + timedelta(days=1)}


class SongForm(EditForm):
    length_s = DurationInput(label=gettext_lazy("Length"), help_text="4:05")
    gap_s = DurationInput(
        label=gettext_lazy("Gap after it"),
        help_text=gettext_lazy(
            "Until the next song starts: 0:20. 0:00 where one runs into the next. Leave "
            "empty while it is not known."
        ),
    )

    class Meta:
        model = Song
        fields = ["title", "tempo_bpm", "length_s", "gap_s", "reference", "notes"]
        labels = {"title": gettext_lazy("Title"), "notes": pgettext_lazy("remarks", "Notes")}


class SectionForm(EditForm):
    class Meta:
        model = Section
        fields = ["name"]
        labels = {"name": gettext_lazy("Name")}
