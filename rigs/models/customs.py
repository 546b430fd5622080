"""What a carnet wants to know of a thing: where it was made, and what it is worth."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Protocol

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.countries import country_code
from core.money import currency_code, places_of, too_fine


class _Valued(Protocol):
    country_of_origin: str
    worth: Decimal | None
    currency: str


def customs_columns() -> tuple[
    models.CharField[str, str],
    models.DecimalField[Any, Any],
    models.CharField[str, str],
]:
    """Country of origin (ISO 3166-1), value of one, and its currency (ISO 4217)."""
    country = models.CharField(
        gettext_lazy("country of origin"),
        # Room for a name, which becomes its two letters.
        max_length=60,
        blank=True,
        default="",
        help_text=gettext_lazy("Where it was made, as two letters or by name: SE, Sweden."),
    )
    worth = models.DecimalField(
        gettext_lazy("value of one"),
        max_digits=13,
        decimal_places=3,
        null=True,
        blank=True,
        default=None,
        validators=[MinValueValidator(0)],
        help_text=gettext_lazy("What it is worth today, without the currency: 1200."),
    )
    currency = models.CharField(
        max_length=8,
        blank=True,
        default="",
        help_text=gettext_lazy("Three letters: EUR, GBP, SEK, USD."),
    )
    return country, worth, currency


def tidy_customs(row: _Valued) -> None:
    """Bring codes to capitals. Raises ValidationError, by field, for what is no code, and for a
    value and a currency of which one is missing."""
    wrong: dict[str, str] = {}
    for name, read in (("country_of_origin", country_code), ("currency", currency_code)):
        try:
            setattr(row, name, read(getattr(row, name)))
        except ValueError as error:
            wrong[name] = str(error)
    if "currency" not in wrong:
        wrong |= _of_value(row.worth, row.currency)
    if wrong:
        raise ValidationError(wrong)


def _of_value(worth: Decimal | None, currency: str) -> dict[str, str]:
    if worth is None:
        return {"worth": _("How much is it worth, in that currency?")} if currency else {}
    if not currency:
        return {"currency": _("Which currency is the value in?")}
    if too_fine(worth, currency):
        return {"worth": _too_fine(currency, places_of(currency))}
    return {}


def _too_fine(currency: str, digits: int) -> str:
    if not digits:
        words = _("Sums in {currency} have no digits behind the point.")
        return words.format(currency=currency)
    words = ngettext(
        "Sums in {currency} have {n} digit behind the point.",
        "Sums in {currency} have {n} digits behind the point.",
        digits,
    )
    return words.format(currency=currency, n=digits)
