"""The fields for the numbers of a MIDI message to a unit."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from rigs.midi import DATA, first_program
from rigs.models import SongSetting, Unit

# The endings of the names of the fields of a MIDI message, by its columns.
NUMBERS = {
    "channel": "-channel",
    "bank_msb": "-msb",
    "bank_lsb": "-lsb",
    "program": "-program",
    "controller": "-control",
    "amount": "-value",
}
MIDI = "m"  # names of those fields begin with it


class ProgramField(forms.IntegerField):
    """A program as the unit counts it; its value is the number that is sent."""

    def __init__(self, unit: Unit, **more: Any) -> None:
        super().__init__(**more)
        self.first = first_program(unit.programs_from)
        self.limits = tuple(limit + self.first for limit in DATA)
        self.words = _("A program of “{unit}” is {low} to {high}.").format(
            unit=unit, low=self.limits[0], high=self.limits[1]
        )

    def prepare_value(self, value: Any) -> Any:
        return value + self.first if isinstance(value, int) else value

    def to_python(self, value: Any) -> int | None:
        typed: int | None = super().to_python(value)
        if typed is None:
            return None
        if not self.limits[0] <= typed <= self.limits[1]:
            raise ValidationError(self.words)
        return typed - self.first


def message_fields(unit: Unit) -> dict[str, forms.Field]:
    """The fields for the numbers of a MIDI message to `unit`, by their columns."""
    fields: dict[str, forms.Field] = {}
    short = {"channel": _("Channel"), "amount": _("Value")}
    for column in NUMBERS:
        model_field: Any = SongSetting._meta.get_field(column)
        label = short.get(column, capfirst(str(model_field.verbose_name)))
        made: dict[str, Any] = {
            "label": label,
            "required": False,
            "widget": forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
            "error_messages": {"invalid": _("This is a whole number.")},
        }
        if column == "program":
            fields[column] = ProgramField(unit, **made)
            continue
        fields[column] = forms.IntegerField(**made, validators=model_field.validators)
        if column == "channel" and unit.midi_channel:
            fields[column].widget.attrs["placeholder"] = str(unit.midi_channel)
    return fields
