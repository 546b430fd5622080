"""What an outlet gives and a unit wants, read from “9 V, centre negative, 300 mA”. Pure."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

_NUMBER = r"(\d+(?:[.,]\d+)?)"
# “VAC” and “V DC” are volts, “VA” is not: hence the list of what may follow the V.
_VOLTS = re.compile(_NUMBER + r"\s*V(?=$|[^A-Za-z]|\s?AC|\s?DC)", re.IGNORECASE)
_AMPS = re.compile(_NUMBER + r"\s*(mA|A)\b", re.IGNORECASE)
_CENTRE = re.compile(r"\b(?:centre|center|tip)[\s-]*(pos|neg|\+|−|-)", re.IGNORECASE)
_AC = re.compile(r"(?:\b|V)AC\b", re.IGNORECASE)


class Polarity(StrEnum):
    """The polarity of the plug's centre, or AC, which has none."""

    POSITIVE = gettext_noop("centre positive")
    NEGATIVE = gettext_noop("centre negative")
    AC = "AC"

    @property
    def words(self) -> StrOrPromise:
        """Lazy, as all words of figures are."""
        return self.value if self is Polarity.AC else gettext_lazy(self.value)


class Supply(NamedTuple):
    """What a supply gives or a unit needs, in V and A; None where the words do not say it."""

    volts: float | None = None
    polarity: Polarity | None = None
    amps: float | None = None

    @property
    def missing(self) -> list[StrOrPromise]:
        names = (gettext_lazy("volts"), gettext_lazy("polarity"), gettext_lazy("current"))
        return [name for name, value in zip(names, self, strict=True) if value is None]


def read_supply(words: str) -> Supply:
    """Read volts, polarity and current from words; None for each that they do not say."""
    volts, amps, centre = _VOLTS.search(words), _AMPS.search(words), _CENTRE.search(words)
    polarity = None
    # Before the centre: with alternating current a plug has no polarity, whatever is written.
    if _AC.search(words):
        polarity = Polarity.AC
    elif centre:
        positive = centre[1].casefold() in ("pos", "+")
        polarity = Polarity.POSITIVE if positive else Polarity.NEGATIVE
    return Supply(
        _float(volts[1]) if volts else None,
        polarity,
        _float(amps[1]) * (1e-3 if amps[2].casefold() == "ma" else 1.0) if amps else None,
    )


def circuit_name(words: str) -> str:
    """The name of a mains circuit: “Backline left” of “Backline left, 230 V, 16 A”."""
    return " ".join(words.partition(",")[0].split())


def circuit_key(words: str) -> str:
    """The same for all on one circuit: it is typed anew each time, so capitals differ."""
    return circuit_name(words).casefold()


def _float(text: str) -> float:
    return float(text.replace(",", "."))
