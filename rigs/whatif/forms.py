"""Fields that the forms of questions share, and forms that put an answer into the rig."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.http import QueryDict
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from core.forms.base import LengthInput, TemperatureField, set_up_temperatures
from core.languages.words import number
from core.units import CELSIUS, SCALES, Length, format_length
from rigs.editing.part_forms import PartForm
from rigs.models import Control, Input, Link, Unit

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def length_field(model: type[models.Model], column: str, label: StrOrPromise) -> LengthInput:
    column_of = model._meta.get_field(column)
    assert isinstance(column_of, models.Field)  # noqa: S101 - a column, not a relation
    default = getattr(model(), f"{column.removesuffix('_m')}_unit")
    field = LengthInput(model_field=column_of, default_unit=default, label=label)
    # Empty is allowed in the record, but a question without its length has no answer.
    field.required = True
    return field


def number_field(label: StrOrPromise, low: float, high: float, **more: Any) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        min_value=low,
        max_value=high,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **more,
    )


def temperature_field(low: float, high: float) -> TemperatureField:
    words = format_lazy(
        gettext_lazy("The formulas cover {low} to {high} °C."), low=number(low), high=number(high)
    )
    limits = [MinValueValidator(low, words), MaxValueValidator(high, words)]
    return TemperatureField(label=gettext_lazy("temperature, °C"), validators=limits)


class QuestionFields(forms.Form):
    """The form of a question; bound when the question was asked.

    `about` and `subject` say which kind of question it is, and of what.
    """

    about = forms.CharField(widget=forms.HiddenInput, required=False)
    subject = forms.CharField(widget=forms.HiddenInput, required=False)
    ask = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")

    def __init__(self, data: QueryDict | None, *, scale: str, **more: Any) -> None:
        """`scale` is what the reader prefers for temperatures, where one is asked for."""
        super().__init__(data, **more)


class QuestionInAir(QuestionFields):
    """The form of a question that asks for a temperature, `celsius`.

    The scale stands in the address, so that whoever is sent it reads the same numbers; an address
    without one is in °C.
    """

    scale = forms.ChoiceField(choices=SCALES, widget=forms.HiddenInput, required=False)

    def __init__(self, data: QueryDict | None, *, scale: str, **more: Any) -> None:
        super().__init__(data, scale=scale, **more)
        asked = scale if data is None else data.get("scale", "")
        self.initial["scale"] = asked if asked in dict(SCALES) else CELSIUS
        set_up_temperatures(self, self.initial["scale"])

    def clean_celsius(self) -> float:
        return float(self.cleaned_data["celsius"])


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


# One field each: taking over an answer sets nothing else of the part.
PROPOSALS: dict[str, type[PartForm]] = {
    "link": ProposedLength,
    "input": ProposedDistance,
    "unit": ProposedTuning,
    "control": ProposedSetting,
}


def as_typed(length: Length) -> str:
    """A length as it goes into another form."""
    return format_length(length.metres, length.unit)
