"""What a control of hired gear offers, as its front says it: ends, choices, or a unit. Pure.

0 to 12        clean, crunch, lead        dB
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from typing import NamedTuple, Protocol

from django.utils.translation import gettext as _

from core.languages.typed import COMMAS, between_figures
from core.units import plain
from rigs.settings_of_controls import Style, ends_of

_END = r"(-?\d+(?:[.,]\d+)?)"


@cache
def _ends() -> re.Pattern[str]:
    return re.compile(f"{_END}{between_figures()}{_END}", re.IGNORECASE)


class Offers(NamedTuple):
    """The ends of a dial with numbers, what a switch can be set to, the unit of a value."""

    low: Decimal | None = None
    high: Decimal | None = None
    choices: str = ""
    symbol: str = ""


class OfControl(Protocol):
    """What a control says of that."""

    @property
    def low(self) -> Decimal | None: ...
    @property
    def high(self) -> Decimal | None: ...
    @property
    def choices(self) -> str: ...
    @property
    def symbol(self) -> str: ...


def read_offers(style: Style, text: str) -> Offers:
    """Read what was typed for a control of that style. Empty is as usual. Raises ValueError."""
    text = " ".join(text.split())
    if not text:
        return Offers()
    if style == Style.DIAL:
        found = _ends().fullmatch(text.replace("−", "-"))
        if found is None:
            raise ValueError(_("“{text}” are no ends of a dial. Write 0 to 12.").format(text=text))
        low, high = (Decimal(end.replace(",", ".")) for end in found.groups())
        if low >= high:
            raise ValueError(_("The dial must end at a higher number than it starts at."))
        return Offers(low, high)
    if style in (Style.SWITCH, Style.CHOICE):
        choices = [each.strip() for each in re.split(f"[{COMMAS}]", text) if each.strip()]
        if len(choices) < 2:
            raise ValueError(_("Write what it can be set to, with commas: clean, crunch, lead."))
        return Offers(choices=", ".join(choices))
    if style == Style.VALUE:
        if len(text) > 12:
            raise ValueError(_("A unit has at most 12 characters, such as dB."))
        return Offers(symbol=text)
    raise ValueError(
        _(
            "Only a dial with numbers has ends, a switch choices and a value a unit. Say which "
            "it is."
        )
    )


def offers_of(control: OfControl) -> str:
    """As it is typed again."""
    if control.low is not None or control.high is not None:
        low, high = ends_of(control.low, control.high)
        return f"{plain(low)} to {plain(high)}"
    return control.choices or control.symbol
