"""What a tracked field is called on a page, and how its value reads there. No queries."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cache

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from core.durations import format_duration
from core.languages import words
from core.units import Quantity, format_both, quantity_text
from rigs.changes.edits import Value
from rigs.facts import FACTS
from rigs.fields import PartField, ValueKind, find, length_with_unit
from rigs.models import PARTS
from rigs.models.parts import Column, columns
from rigs.settings_of_controls import Style


@cache
def column(kind: str, field: str) -> Column | None:
    """The tracked column, or None for one that a later version of the program dropped."""
    model = PARTS.get(kind)
    return next((c for c in columns(model) if c.name == field), None) if model else None


@cache
def rank(kind: str, field: str) -> int:
    """The field's place among those of its kind; a part that comes or goes whole is first."""
    names = PARTS[kind].TRACKED if kind in PARTS else ()
    return names.index(field) if field in names else -1


def label(kind: str, field: str) -> str:
    """“Preamp gain” for gain_db: the unit of measure goes with the value, not with the word."""
    return str(capfirst(word(kind, field)))


def word(kind: str, field: str) -> str:
    """Like `label`, as it stands within a sentence: “preamp gain”."""
    length = length_with_unit(kind, field)
    if length is not None:
        return _("unit of the {length}").format(length=word(kind, length.name))
    row, known = find(kind, field), column(kind, field)
    named = _(row.label) if row and row.label else known.field.verbose_name if known else field
    return words.without_unit(str(named)).replace("_", " ")


def default(kind: str, field: str) -> Value:
    known = column(kind, field)
    return known.default if known else None


def text(kind: str, field: str, value: Value, known: Mapping[str, Value] | None = None) -> str:
    """`value` as it reads on a page; empty where nothing is set.

    None stands for the field's default. `known` holds other fields of the same part: the unit of
    a length, the style of a control. Fields that point at records are not for here.
    """
    value = default(kind, field) if value is None else value
    if value is None or value == "":
        return ""
    row = find(kind, field)
    if row is None:
        return _choice(kind, field, value)
    others = known or {}
    if row.is_length:
        return format_both(Decimal(str(value)), unit_of(kind, row, others))
    if isinstance(value, bool):
        return _(row.off_on[value])
    reading = _READINGS.get(row.kind)
    return reading(row, value, others) if reading else _choice(kind, field, value)


def unit_of(kind: str, length: PartField, known: Mapping[str, Value]) -> str:
    """The unit that a length was written in."""
    name = length.unit_field
    return str(known.get(name) or default(kind, name) or "mm")


def number(value: Value) -> str:
    """The number without trailing zeros and with a true minus sign (U+2212)."""
    return words.number(Decimal(str(value)))


def pan(value: Value) -> str:
    """“50 house left”, as heard from the audience: house left is stage right."""
    side = int(value or 0)
    if side == 0:
        return pgettext("pan", "centre")
    told = _("{n} house left") if side < 0 else _("{n} house right")
    return told.format(n=abs(side))


def setting(value: Value, known: Mapping[str, Value]) -> str:
    """A control's setting with its unit: “35 ms”, “3:1”; others as they are: “2:30”.

    Empty where nothing is set, since a unit alone would be no value.
    """
    if value is None or value == "":
        return ""
    symbol = str(known.get("symbol") or "")
    if known.get("style") == Style.VALUE:
        # A ratio such as 3:1 is written without a space.
        space = "" if symbol.startswith(":") else " "
        return f"{_figure(str(value)).replace('-', '−')}{space}{symbol}".strip()
    return _figure(str(value)) if known.get("style") == Style.DIAL else str(value)


_DECIMAL = re.compile(r"[-−]?\d+\.\d+", re.ASCII)


def _figure(value: str) -> str:
    """A number with the decimal sign of the reader, which forms read, too; other text as it is."""
    return words.localised(value) if _DECIMAL.fullmatch(value) else value


def _fact(value: Value, known: Mapping[str, Value]) -> str:
    fact = FACTS.get(str(known.get("key", "")))
    return fact.shown(Decimal(str(value))) if fact else number(value)


def _choice(kind: str, field: str, value: Value) -> str:
    known = column(kind, field)
    choices = dict(known.field.flatchoices) if known else {}
    return str(choices.get(value, value))


def _measured(row: PartField, value: Value) -> str:
    """A number with the symbol of its unit: “32 dB”, “15°”."""
    return quantity_text(Quantity(Decimal(str(value)), row.symbol))


def percent(value: Value) -> str:
    """A fraction of a picture's side: “43.25 %”."""
    return f"{number(str(Decimal(str(value)) * 100))} %"


# How values of each kind read; those of other kinds read as they are, or as their choice.
_READINGS: dict[ValueKind, Callable[[PartField, Value, Mapping[str, Value]], str]] = {
    ValueKind.NUMBER: lambda row, value, _: _measured(row, value),
    ValueKind.PAN: lambda _, value, __: pan(value),
    ValueKind.FRACTION: lambda _, value, __: percent(value),
    ValueKind.DURATION: lambda _, value, __: format_duration(int(value or 0)),
    ValueKind.SETTING: lambda _, value, others: setting(value, others),
    ValueKind.FIGURE: lambda _, value, others: _fact(value, others),
}
