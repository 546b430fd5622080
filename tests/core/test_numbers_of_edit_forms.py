"""Whoever is overtaken is told of what differs, and a number typed another way does not."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.urls import get_resolver

from core.forms.base import EditForm, LengthInput, TemperatureField
from core.forms.durations import DurationInput
from core.forms.tour import ShowForm
from core.models import Leg, RehearsalRoom, Show, Song
from rigs.models import ChangeTimes, LentLine, PatchBox
from rigs.models.patch import MOST_WAYS
from rigs.patch.forms import RunForm
from tests.support.everything import fill
from tests.support.world import World

NUMBERS = (
    forms.DecimalField,
    forms.IntegerField,
    forms.FloatField,
    LengthInput,
    TemperatureField,
    DurationInput,
)


def with_numbers() -> list[type[EditForm]]:
    """Every form with a guard against overtaking on whose model a number can be typed."""
    return [each for each in of_numbers() if has_version(each)]


def has_version(form: type[EditForm]) -> bool:
    return "version" in {column.name for column in form._meta.model._meta.concrete_fields}


def of_numbers() -> list[type[EditForm]]:
    assert get_resolver().url_patterns  # imports the forms of all pages
    found: list[type[EditForm]] = []
    waiting: list[type[EditForm]] = [EditForm]
    while waiting:
        below = waiting.pop().__subclasses__()
        waiting += below
        found += [each for each in below if any(_is_number(f) for f in each.base_fields.values())]
    return [each for each in found if set(each.base_fields) - {"version"}]


def _is_number(field: forms.Field) -> bool:
    hidden = isinstance(field.widget, forms.HiddenInput)
    # Lengths become LengthInput in the form itself; before that they are decimals.
    return isinstance(field, NUMBERS) and not hidden


def a_record(form: type[EditForm], world: World) -> Any:
    """One that is stored, with a number in each of its columns of the form."""
    if form._meta.model is ChangeTimes:
        ChangeTimes.objects.get_or_create(production=world.production)
    if form._meta.model is RehearsalRoom:
        RehearsalRoom.objects.get_or_create(production=world.production, name="Dairy")
    if form._meta.model is LentLine:
        PatchBox.objects.update(ways=MOST_WAYS)  # so that the ways in the columns are there
    record = form._meta.model._default_manager.first()
    assert record is not None, f"no {form._meta.model.__name__} to try"
    numbers = {
        column.name: _within(column)
        for column in record._meta.concrete_fields
        if isinstance(column, models.DecimalField | models.IntegerField)
        and column.name in set(form.base_fields) - {"version"}
    }
    numbers["version"] = record.version + 1
    type(record)._default_manager.filter(pk=record.pk).update(**numbers)
    return type(record)._default_manager.get(pk=record.pk)


def _within(column: Any) -> Any:
    if column.choices:
        return column.choices[0][0]
    for value in (Decimal("24.5"), Decimal(24), Decimal(-10), Decimal(96), Decimal(1)):
        whole = isinstance(column, models.IntegerField)
        if whole and value % 1:
            continue
        try:
            return column.clean(int(value) if whole else value, None)
        except ValidationError:
            continue
    raise AssertionError(f"no value for {column}")


def again(text: str, field: forms.Field) -> str:
    """The same number, typed another way."""
    if isinstance(field, forms.IntegerField) and not isinstance(field, forms.DecimalField):
        return f" {text}"
    if isinstance(field, DurationInput):
        minutes, _, seconds = text.partition(":")
        return str(int(minutes) * 60 + int(seconds))
    number, space, unit = text.partition(" ")
    number = f"0{number}" if "." in number else f"{number}.0"
    return f"{number}{space}{unit}"


@pytest.mark.parametrize("form", with_numbers(), ids=lambda form: form.__name__)
@pytest.mark.parametrize("as_shown", [True, False])
def test_an_unchanged_number_is_no_difference(
    world: World, form: type[EditForm], as_shown: bool
) -> None:
    fill(world)
    Song.objects.update(length_s=245)
    record = a_record(form, world)
    shown = form(instance=record)
    typed, numbers = {}, []
    for bound in shown.visible_fields():
        value = bound.value()
        if value is None or value is False:
            continue
        text = value if isinstance(value, list) else str(value)
        if isinstance(bound.field, NUMBERS) and text:
            numbers.append(bound.name)
            text = text if as_shown else again(text, bound.field)
        typed[bound.html_name] = text
    assert numbers
    typed["version"] = str(record.version - 1)
    stale = form(typed, instance=type(record)._default_manager.get(pk=record.pk))
    assert not stale.is_valid()
    assert EditForm.stale_message in stale.errors["__all__"]
    assert {name: stale.errors.get(name) for name in numbers} == dict.fromkeys(numbers)


def test_only_what_is_never_changed_goes_without_a_version(world: World) -> None:
    """A run is plugged and unplugged: its form makes new ones, its page changes none."""
    assert [each for each in of_numbers() if not has_version(each)] == [RunForm]


def test_another_number_is_one(world: World) -> None:
    fill(world)
    record = Show.objects.get(leg=Leg.objects.first())
    Show.objects.update(humidity_pct="48.0", mix_distance_m="24.384", mix_distance_unit="ft")
    sent = {"held_on": "2026-09-02", "room": "Room", "version": "0"}
    stale = ShowForm(sent | {"humidity_pct": "48.1", "mix_distance_m": "24.384 m"}, instance=record)
    assert stale.errors["humidity_pct"] == ["Now there: 48"]
    assert stale.errors["mix_distance_m"] == ["Now there: 80 ft"]
