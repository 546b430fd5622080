"""Model fields for lengths: metres in one column, the unit it was written in beside it."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy

from core.units import METRES_PER

if TYPE_CHECKING:
    # What may be set and what is read; at run time the classes take no arguments.
    _Decimal = models.DecimalField[str | float | Decimal | None, Decimal | None]
    _Char = models.CharField[str, str]
else:
    _Decimal, _Char = models.DecimalField, models.CharField


class LengthField(_Decimal):
    """Metres, to the nanometre, so that 1/64 in is exact. Empty when not measured."""

    def __init__(self, *args: Any, limit_m: int = 100, below_zero: bool = False, **more: Any):
        self.limit_m, self.below_zero = limit_m, below_zero
        more.update(max_digits=13, decimal_places=9, null=True, blank=True)
        more["validators"] = [
            MinValueValidator(
                Decimal(-limit_m if below_zero else 0),
                message=gettext_lazy("A distance cannot be negative.") if not below_zero else None,
            ),
            MaxValueValidator(
                Decimal(limit_m),
                message=gettext_lazy("More than %(limit_value)s m cannot be right."),
            ),
        ]
        super().__init__(*args, **more)

    def deconstruct(self) -> Any:
        name, path, args, more = super().deconstruct()
        # These follow from the class. Left in migrations, each change of a message would need one.
        for key in ("max_digits", "decimal_places", "null", "blank", "validators"):
            more.pop(key, None)
        if self.limit_m != 100:
            more["limit_m"] = self.limit_m
        if self.below_zero:
            more["below_zero"] = True
        return name, path, args, more


class LengthUnitField(_Char):
    """The unit a length was written in and is shown in."""

    def __init__(self, *args: Any, **more: Any):
        more.setdefault("default", "mm")
        more["max_length"] = 2
        more["choices"] = [(unit, unit) for unit in METRES_PER]
        super().__init__(*args, **more)

    def deconstruct(self) -> Any:
        name, path, args, more = super().deconstruct()
        more.pop("max_length", None)
        more.pop("choices", None)
        return name, path, args, more
