"""Values of fields as quantities, for what is stored to be read later; in words at the last moment.

Pure. A value is one of `{"length": …}` (metres and the unit it was written in), `{"quantity": …}`
(a number and the symbol of its unit) and `{"text": …}`.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from core.units import Length, Quantity, plain, quantity_text
from rigs.changes.edits import Value
from rigs.facts import FACTS
from rigs.fields import ValueKind, find
from rigs.wording import fields
from rigs.wording.lengths import length_data, length_of, length_text

Plain = dict[str, Any]


def value_data(kind: str, field: str, value: Value, known: Mapping[str, Value]) -> Plain | None:
    """A value that is a quantity; None for one that is not, or where nothing is set. `known` are
    other fields of the same part: the unit of a length, which figure it is."""
    row = find(kind, field)
    if row is None or value is None or value == "":
        return None
    # Only amounts are numbers: the text of other kinds would not parse.
    amount = Decimal(str(value)) if row.kind in _AMOUNTS else Decimal(0)
    if row.is_length:
        return {"length": length_data(Length(amount, fields.unit_of(kind, row, known)))}
    if row.kind is ValueKind.NUMBER and row.symbol:
        return quantity_data(Quantity(amount, row.symbol))
    if row.kind is ValueKind.FIGURE and (fact := FACTS.get(str(known.get("key", "")))):
        return quantity_data(fact.quantity(amount))
    return None


_AMOUNTS = (ValueKind.LENGTH, ValueKind.NUMBER, ValueKind.FIGURE)


def quantity_data(quantity: Quantity) -> Plain:
    return {"quantity": {"value": plain(quantity.value), "unit": quantity.unit}}


def data_text(data: Mapping[str, Any], *, both: bool = True) -> str:
    """What `value_data` wrote, in words; lengths with the other system unless `both` is False.
    Raises KeyError and ArithmeticError for anything else."""
    if "length" in data:
        return length_text(length_of(data["length"]), both=both)
    if "quantity" in data:
        stated = data["quantity"]
        return quantity_text(Quantity(Decimal(stated["value"]), stated["unit"]))
    return str(data["text"])
