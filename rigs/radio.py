"""What radio gear is set to, as crews write it: a frequency, a channel, or both. Pure.

    863.125        863,1 MHz      G12 ch 4       group 2 channel 5, 606.500 MHz

A bare number with a point or comma, or of three digits and more, is a frequency in MHz. One of one
or two digits can be either, and is asked about. Which frequencies may be used where, and whether a
licence is needed, is for the law of the place.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.marked import gettext_noop
from core.languages.words import in_every_language
from core.units import plain

# Names of the controls that hold it where a unit is documented, as rigs.gear offers them: English,
# but whoever adds a unit gets them in their own language.
FREQUENCY = gettext_noop("Frequency")
CHANNEL = gettext_noop("Group and channel")
PACK = gettext_noop("Pack")
MHZ = "MHz"
# From the lowest band of radio microphones to the highest of digital links, and some room. Common
# practice, no source; no statement about what may be used.
LOWEST, HIGHEST = Decimal(25), Decimal(7200)
LONGEST = 80
_PER = {"khz": Decimal("0.001"), "mhz": Decimal(1), "ghz": Decimal(1000), "": Decimal(1)}
_FREQUENCY = re.compile(r"(\d+(?:[.,]\d+)?)\s*(k|m|g)?(?:hz)?", re.IGNORECASE)
_CHANNEL = re.compile(
    r"(?:(?P<word>group|grp|gr|bank|band)\.?\s*)?(?P<group>[a-z]{0,3}\d{0,3}[a-z]?)[\s/-]*"
    r"\b(?:channel|chan|ch)\.?\s*(?P<number>\d{1,3}[a-z]?)",
    re.IGNORECASE,
)
# A comma between two digits is a decimal comma; any other parts channel and frequency.
_BETWEEN = re.compile(r"[;()]|,(?!\d)")
_HOW = gettext_lazy("Write a frequency such as 863.125 MHz, or a channel such as G12 ch 4.")


class Radio(NamedTuple):
    """A channel in its one spelling, and a frequency in MHz; either may be missing."""

    channel: str = ""
    mhz: Decimal | None = None

    @property
    def text(self) -> str:
        """“G12 ch 4, 863.125 MHz”."""
        frequency = f"{plain(self.mhz)} {MHZ}" if self.mhz is not None else ""
        return ", ".join(filter(None, [self.channel, frequency]))


def parse_radio(text: str) -> Radio:
    """Read what a crew wrote. Empty is empty. Raises ValueError with words fit for a form."""
    parts = [
        p.strip(" ()") for p in re.split(r",(?!\d)|;|\(|(?<=[a-z])\s*/\s*", text) if p.strip(" ()")
    ]
    channel, mhz = "", None
    for part in parts:
        part = " ".join(part.split())
        if (said := _CHANNEL.fullmatch(part)) and not channel:
            channel = _channel(said)
        elif (said := _FREQUENCY.fullmatch(part)) and mhz is None:
            mhz = _mhz(said, part)
        else:
            raise ValueError(
                _("“{part}” is no frequency and no channel. {how}").format(part=part, how=_HOW)
            )
    return Radio(channel, mhz)


def tidy_radio(text: str) -> str:
    """`text` in its one spelling, the frequency with its unit. Raises ValueError."""
    return parse_radio(text).text


class OnAir(NamedTuple):
    """What a unit sends or receives on, as its controls say; `width` is that of its channel, in
    MHz, None where nobody states it."""

    channel: str = ""
    mhz: Decimal | None = None
    width: Decimal | None = None


def on_air(controls: Iterable[tuple[str, str, str]]) -> OnAir | None:
    """Of the name, symbol and setting of each control; None where none of them is of radio.

    A width is a value in kHz. What is no number is left out.
    """
    channel, mhz, width = "", None, None
    for name, symbol, setting in controls:
        if symbol == MHZ:
            mhz = mhz if mhz is not None else _number(setting)
        elif symbol == "kHz":
            khz = _number(setting)
            width = khz / 1000 if khz is not None else width
        elif name in in_every_language(CHANNEL):
            channel = channel or setting
    return OnAir(channel, mhz, width) if channel or mhz is not None else None


def _number(text: str) -> Decimal | None:
    try:
        value = Decimal(text.replace(",", ".")) if text else None
    except InvalidOperation:
        return None
    return value if value is not None and value.is_finite() else None


def _channel(said: re.Match[str]) -> str:
    word, group = said["word"], said["group"]
    # “group 2” and “G2” are one; a group that is named by a letter keeps its name.
    named = f"G{group}" if word and group[:1].isdigit() else group
    return f"{named} ch {said['number']}".strip()


def _mhz(said: re.Match[str], part: str) -> Decimal:
    digits, prefix = said[1], (said[2] or "").lower()
    if not prefix and digits.isdigit() and len(digits) < 3:
        raise ValueError(
            _("“{part}” can be a channel or MHz. Write ch {digits} or {digits} MHz.").format(
                part=part, digits=digits
            )
        )
    value = Decimal(digits.replace(",", ".")) * _PER[f"{prefix}hz" if prefix else ""]
    if not LOWEST <= value <= HIGHEST:
        raise ValueError(
            _(
                "“{part}” is {value} MHz, which no radio gear of a stage uses ({lowest} to "
                "{highest} MHz). {how}"
            ).format(part=part, value=plain(value), lowest=LOWEST, highest=HIGHEST, how=_HOW)
        )
    return value
