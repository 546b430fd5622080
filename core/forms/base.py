"""What all forms share: lengths typed with their unit, and a guard against stale edits."""

from __future__ import annotations

from collections.abc import MutableMapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any, ClassVar, cast

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import BaseValidator
from django.db import models, transaction
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.repeated import Repeated
from core.languages.words import localised
from core.models.fields import LengthField
from core.units import (
    CELSIUS,
    FAHRENHEIT,
    SCALES,
    Length,
    format_length,
    format_temperature,
    parse_length,
    parse_temperature,
    plain,
    temperatures_in,
)

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class LengthInput(forms.CharField):
    """A length as crews write it; cleans to a Length, or None when left empty."""

    def __init__(self, *, model_field: models.Field[Any, Any], default_unit: str, **more: Any):
        more.setdefault("label", model_field.verbose_name)
        more.setdefault("help_text", "35 mm, 1.2 m, 2 1/2 in …")
        super().__init__(required=False, max_length=40, **more)
        self.model_field, self.default_unit = model_field, default_unit
        self.widget.attrs.update({"autocapitalize": "off", "spellcheck": "false"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            length = parse_length(text, self.default_unit)
        except ValueError as error:
            raise ValidationError(str(error)) from None
        # A field of a form has the checks of its own kind only; the limits stand with the column.
        self.model_field.run_validators(length.metres)
        return length

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare the lengths, not the texts: “24.50m” is 24.5 m. Another unit is a change."""
        try:
            there, typed = (
                parse_length(str(text), self.default_unit) if text else None
                for text in (initial, str(data or "").strip())
            )
        except ValueError:
            return super().has_changed(initial, data)
        return there != typed


class TemperatureField(forms.DecimalField):
    """A temperature as crews write it, “21.5” or “68 °F”; cleans to °C.

    What is typed without a unit is in `scale`, which is that of whoever fills in the form.
    """

    widget = forms.TextInput
    scale = CELSIUS

    def use_scale(self, scale: str) -> None:
        self.scale = scale
        self.label = str(self.label).replace(dict(SCALES)[CELSIUS], dict(SCALES)[scale])
        self.help_text = _("70, or 21 °C") if scale == FAHRENHEIT else _("21.5, or 70 °F")

    def in_scale(self, celsius: Any) -> str:
        """What the field is filled with before anybody types."""
        if celsius in self.empty_values:
            return ""
        value = Decimal(str(celsius))
        # Without a unit where it is the one of the label and of the column.
        if self.scale == CELSIUS:
            return localised(plain(value))
        return format_temperature(value, self.scale)

    def to_python(self, value: Any) -> Any:
        if value in self.empty_values:
            return None
        try:
            return parse_temperature(str(value), self.scale)
        except ValueError as error:
            raise ValidationError(str(error)) from None

    def run_validators(self, value: Any) -> None:
        """Raises ValidationError in the scale of the reader."""
        try:
            super().run_validators(value)
        except ValidationError as error:
            words = [temperatures_in(message, self.scale) for message in error.messages]
            raise ValidationError(words) from None

    def has_changed(self, initial: Any, data: Any) -> bool:
        # `initial` is text in the scale of the reader; compared as text, 70 would differ from 70
        # °F.
        return super().has_changed(self.to_python(initial), data)


def set_up_temperatures(form: forms.BaseForm, scale: str) -> None:
    """Each temperature of a form in the scale of whoever fills it in."""
    for name, field in form.fields.items():
        if isinstance(field, TemperatureField):
            field.use_scale(scale)
            form.initial[name] = field.in_scale(form.initial.get(name))


class LengthsMixin:
    """For a ModelForm: each `x_m` column with its `x_unit` becomes one field `x_m`.

    The unit columns must be left out of Meta.fields; they are set from what was typed.
    """

    fields: dict[str, forms.Field]
    instance: Any
    initial: MutableMapping[str, Any]

    def set_up_lengths(self) -> None:
        for name in list(self.fields):
            column = _length_column(type(self.instance), name)
            if column is None:
                continue
            unit = getattr(self.instance, _unit_name(name))
            # What a form says of a length of its own stands in place of the general hint.
            help_text = {"help_text": text} if (text := self.fields[name].help_text) else {}
            self.fields[name] = LengthInput(model_field=column, default_unit=unit, **help_text)
            metres = self.initial.get(name)
            self.initial[name] = format_length(Decimal(metres), unit) if metres is not None else ""

    def spread_lengths(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        """Cleaned data with metres and unit apart again. An emptied length keeps its unit."""
        for name, value in list(cleaned.items()):
            if isinstance(self.fields.get(name), LengthInput):
                unit_name = _unit_name(name)
                stored_unit = getattr(self.instance, unit_name)
                unit = value.unit if isinstance(value, Length) else stored_unit
                cleaned[name] = value.metres if isinstance(value, Length) else None
                cleaned[unit_name] = unit
                setattr(self.instance, unit_name, unit)
        return cleaned


def _in_words(field: forms.Field, value: Any) -> str:
    if value in (None, ""):
        return _("nothing")
    if isinstance(field, forms.ModelMultipleChoiceField):
        return _(", ").join(str(each) for each in value) or _("nothing")
    if isinstance(field, forms.ModelChoiceField):
        return str(field.queryset.filter(pk=value).first() or _("nothing"))  # type: ignore[union-attr]
    if isinstance(field, forms.ChoiceField):
        return str(dict(field.choices).get(value, value))  # type: ignore[arg-type]
    return str(field.prepare_value(value))


def _unit_name(name: str) -> str:
    return f"{name.removesuffix('_m')}_unit"


def _length_column(model: type[models.Model], name: str) -> LengthField | None:
    try:
        column = model._meta.get_field(name)
    except Exception:  # noqa: BLE001 - a form may have fields that its model has not
        return None
    return column if isinstance(column, LengthField) else None


class DateInput(forms.DateInput):
    """The browser's own date picker, which speaks ISO 8601 whatever the reader's language."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


class EditForm(Repeated, LengthsMixin, forms.ModelForm):  # type: ignore[type-arg]
    """A form on a record with a `version`: it notices when someone else saved meanwhile.

    Not for parts of a rig, which go through the gateway.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    stale_message: ClassVar[StrOrPromise] = gettext_lazy(
        "Someone else changed this while you were typing. Below is what you typed; "
        "compare it with what is there now, then save again to keep yours."
    )

    def __init__(self, *args: Any, scale: str = CELSIUS, **more: Any) -> None:
        """`scale` is what the person who fills it in prefers for temperatures."""
        super().__init__(*args, **more)
        self.scale = scale
        self.set_up_lengths()
        self._limit_temperatures()
        set_up_temperatures(self, scale)
        self._tidy_numbers()
        self.initial["version"] = getattr(self.instance, "version", 1)

    def _limit_temperatures(self) -> None:
        """The limits of the columns, checked by the fields: those speak the reader's scale."""
        for name, field in self.fields.items():
            if isinstance(field, TemperatureField):
                column = self._meta.model._meta.get_field(name)
                limits = [x for x in column.validators if isinstance(x, BaseValidator)]
                field.validators = [*field.validators, *limits]

    def _tidy_numbers(self) -> None:
        for name, value in self.initial.items():
            if isinstance(value, Decimal):
                self.initial[name] = Decimal(plain(value))  # a text would differ from any number

    def clean(self) -> dict[str, Any]:
        cleaned = self.spread_lengths(super().clean() or self.cleaned_data)
        self._check_not_stale(cleaned)
        return cleaned

    def _check_not_stale(self, cleaned: dict[str, Any]) -> None:
        if self.instance._state.adding:
            return
        # Asked anew: the instance was read when the request began, and somebody may have saved
        # since.
        rows = type(self.instance)._default_manager.filter(pk=self.instance.pk)
        # Locked until the save, so that two who save the same version do not both pass this check.
        # A lock outside a transaction would be refused by Django.
        if transaction.get_connection().in_atomic_block:
            rows = rows.select_for_update()
        now = rows.values_list("version", flat=True).get()
        if cleaned.get("version") != now:
            # The next save is meant: whoever sends this form again has seen the message.
            # The data of a request cannot be written to, its copy can.
            data = cast(QueryDict, self.data).copy()
            data[self.add_prefix("version")] = str(now)
            self.data = data
            self._show_what_is_there_now()
            raise ValidationError(self.stale_message)

    def _show_what_is_there_now(self) -> None:
        now = type(self.instance)._default_manager.get(pk=self.instance.pk)
        there = type(self)(instance=now, scale=self.scale)
        for bound in there.visible_fields():
            shown = bound.initial
            # Only what differs from what was typed is told, and a field in error has its own
            # message.
            if bound.name not in self.errors and bound.field.has_changed(shown, self._typed(bound)):
                self.add_error(
                    bound.name,
                    _("Now there: {there}").format(there=_in_words(bound.field, shown)),
                )

    def _typed(self, bound: forms.BoundField) -> Any:
        name = self.add_prefix(bound.name)
        return bound.field.widget.value_from_datadict(self.data, self.files, name)

    def try_save(self) -> bool:
        """Check and save as one step, so that nobody saves in between. False: show the errors."""
        if not self.is_bound:
            return False
        with transaction.atomic():
            if not self.is_valid():
                return False
            self.save()
        return True

    def save(self, commit: bool = True) -> Any:
        if not self.instance._state.adding:
            self.instance.version = self.cleaned_data["version"] + 1
        with transaction.atomic():
            return super().save(commit=commit)
