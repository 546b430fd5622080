"""A number of a finding, shown to as many places as it deserves. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import number
from core.units import METRES_PER

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# Decimal places a reading is worth; what is not here is shown to four significant digits.
_PLACES = {
    "dB": 1,
    "dBu": 1,
    "dB SPL": 1,
    "ms": 2,
    "N": 1,
    "mm": 1,
    "W": 0,
}


@dataclass(frozen=True, slots=True)
class Figure:
    """A label with a number and its unit, or with a word.

    A word of ours is a lazy text: a finding is signed by it in English, whatever language it is
    read in. `lasting` is False for what follows the weather: that alone does not reopen what was
    accepted.
    """

    label: str
    value: float | StrOrPromise
    unit: str = ""
    lasting: bool = True

    @property
    def shown(self) -> str:
        """The figure as it is read: “36.7 Hz”, “−5.1 dB”; “complete” or “no limit” if infinite."""
        if not isinstance(self.value, (int, float)):
            return str(self.value)
        if self.value in (float("inf"), float("-inf")):
            return _("no limit") if self.value > 0 else pgettext("of a notch", "complete")
        return f"{_number(self.value, self.unit)} {self.unit}".strip()


def _number(value: float, unit: str) -> str:
    places = (0 if abs(value) >= 100 else 1) if unit == "Hz" else _PLACES.get(unit)
    text = f"{value:.4g}" if places is None else f"{value:.{places}f}"
    return number(Decimal(text))


def quoted(name: str) -> StrOrPromise:
    """A name in quotation marks, as a lazy text."""
    return format_lazy(gettext_lazy("“{name}”"), name=name)


def _listed(things: tuple[StrOrPromise, ...]) -> str:
    return _(", ").join(str(each) for each in things)


_lazily_listed = lazy(_listed, str)


def listed(things: Iterable[StrOrPromise]) -> StrOrPromise:
    """“A, B, C” as a lazy text, for what is missing."""
    return _lazily_listed(tuple(things))


def hertz(label: str, value: float, *, lasting: bool = True) -> Figure:
    return Figure(label, value, "Hz", lasting)


def decibels(label: str, value: float) -> Figure:
    return Figure(label, value, "dB")


def length(label: str, metres: float, unit: str) -> Figure:
    """A length in the unit the crew wrote it in."""
    per = float(METRES_PER.get(unit, Decimal("0.001")))
    return Figure(label, metres / per, unit if unit in METRES_PER else "mm")


def milliseconds(label: str, seconds: float) -> Figure:
    """A delay of sound: it follows the temperature."""
    return Figure(label, seconds * 1000, "ms", lasting=False)
