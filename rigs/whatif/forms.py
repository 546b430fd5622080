"""Questions to a rig, asked by GET; and the one field that would make an answer true."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.text import capfirst

from core.forms.base import LengthInput
from core.models import Show
from core.units import Length, format_length
from rigs.editing.part_forms import PartForm
from rigs.models import Control, Input, Link, Unit
from rigs.signal.strings import tension
from rigs.whatif import kit, tuning
from rigs.whatif.air import COLDEST, HOTTEST, STANDARD_KPA


def _length(model: type[models.Model], column: str, label: str) -> LengthInput:
    column_of = model._meta.get_field(column)
    assert isinstance(column_of, models.Field)  # noqa: S101 - a column, not a relation
    default = getattr(model(), f"{column.removesuffix('_m')}_unit")
    field = LengthInput(model_field=column_of, default_unit=default, label=label)
    field.required = True
    return field


def _number(label: str, low: float, high: float, **more: Any) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        min_value=low,
        max_value=high,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **more,
    )


class Question(forms.Form):
    """Bound when it was asked; `about` and `subject` say which question it is, of what."""

    about = forms.CharField(widget=forms.HiddenInput, required=False)
    subject = forms.CharField(widget=forms.HiddenInput, required=False)
    ask = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")


class CableQuestion(Question):
    length_now = _length(Link, "length_m", "cable now")
    per_metre_now = _number(
        "its capacitance, pF per metre",
        0,
        5000,
        help_text="From the cable’s sheet; 60 to 150 is common (no source).",
    )
    load_now = _number("input it ends in, kΩ", 1, 100_000)
    length_then = _length(Link, "length_m", "another cable")
    per_metre_then = _number("its capacitance, pF per metre", 0, 5000)
    load_then = _number("input it would end in, kΩ", 1, 100_000)


class DistanceQuestion(Question):
    distance = _length(Input, "distance_m", "another distance")
    celsius = _number("temperature, °C", COLDEST, HOTTEST)


class AirQuestion(Question):
    celsius = _number("temperature, °C", COLDEST, HOTTEST)
    humidity = _number("relative humidity, %", 0, 100)
    kilopascals = _number(
        "air pressure, kPa",
        50,
        110,
        required=False,
        help_text=f"At the place itself. Left empty: {STANDARD_KPA:g} kPa.",
    )
    distance = _length(Show, "mix_distance_m", "loudspeakers to the mix position")


class TuningQuestion(Question):
    tuning = forms.CharField(
        label="another tuning",
        max_length=Unit._meta.get_field("tuning").max_length,
        help_text="Open strings, low to high: D2 A2 D3 G3 B3 E4.",
    )
    masses = forms.CharField(
        label="mass of each string, g per metre",
        max_length=200,
        required=False,
        help_text="Low to high, as on the maker’s sheet: 6.82 4.28 2.26 1.14 0.67 0.40. "
        "Left empty, the change is told in per cent.",
    )

    def clean_tuning(self) -> str:
        words: str = self.cleaned_data["tuning"]
        try:
            tuning.read(words)
        except ValueError as error:
            raise ValidationError(_sentence(error)) from None
        return words

    def clean_masses(self) -> tuple[float, ...] | None:
        words = self.cleaned_data["masses"].replace(",", ".").split()
        try:
            masses = tuple(float(word) / 1000 for word in words)
            for mass in masses:
                tension(1.0, 1.0, mass)  # refuses what no string can weigh
        except ValueError:
            message = "Write one number above 0 for each string, apart by spaces."
            raise ValidationError(message) from None
        return masses or None


def _sentence(error: ValueError) -> str:
    return f"{capfirst(str(error))}."


class CompressionQuestion(Question):
    threshold = _number("threshold, dB", -60, 30)
    ratio = _number("ratio, to 1", 1, 1000, help_text="4 for 4 to 1; a limiter is 100 or more.")
    knee = _number("knee, dB wide", 0, 60, required=False, help_text="Left empty: a hard knee.")
    makeup = _number("output or make-up, dB", -60, 60, required=False, help_text="Left empty: 0.")
    dry = _number("dry path in the blend, dB", -60, 20)
    wet = _number(
        "compressed path in the blend, dB",
        -60,
        20,
        help_text="Against the dry one: 0 where both are turned up alike.",
    )


class KitQuestion(Question):
    pitch = forms.CharField(
        label="another pitch",
        max_length=Control._meta.get_field("setting").max_length,
        help_text="A2, or 98 Hz; words may follow.",
    )

    def clean_pitch(self) -> str:
        words: str = self.cleaned_data["pitch"]
        if kit.read(words) is None:
            raise ValidationError(kit.UNREAD)
        return words


class ProposedLength(PartForm):
    class Meta:
        model = Link
        fields = ("length_m",)


class ProposedDistance(PartForm):
    class Meta:
        model = Input
        fields = ("distance_m",)


class ProposedTuning(PartForm):
    class Meta:
        model = Unit
        fields = ("tuning",)


class ProposedSetting(PartForm):
    class Meta:
        model = Control
        fields = ("setting",)


PROPOSALS: dict[str, type[PartForm]] = {
    "link": ProposedLength,
    "input": ProposedDistance,
    "unit": ProposedTuning,
    "control": ProposedSetting,
}


def as_typed(length: Length) -> str:
    """A length as it goes into another form."""
    return format_length(length.metres, length.unit)
