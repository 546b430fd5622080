"""Lengths as crews write them ("35 mm", "2 1/2 in", "1.2 m", 3' 6"), kept in metres, and
temperatures (“68 °F”), kept in °C.

One inch is exactly 0.0254 m and one foot exactly 0.3048 m (international yard and pound
agreement of 1959; NIST SP 811, appendix B.8). Values are Decimal, so that what was typed comes
back as it was typed.
"""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from core.languages.typed import Typed
from core.languages.words import localised

METRES_PER: dict[str, Decimal] = {
    "mm": Decimal("0.001"),
    "cm": Decimal("0.01"),
    "m": Decimal("1"),
    "in": Decimal("0.0254"),
    "ft": Decimal("0.3048"),
}
# What the other reading of a length is given in, on a page that shows both.
OTHER_UNIT = {"mm": "in", "cm": "in", "m": "ft", "in": "mm", "ft": "m"}
_SHOWN_PLACES = {"mm": 0, "cm": 1, "m": 2, "in": 1, "ft": 1}
# Nine places hold 1/64 in (0.000396875 m) exactly.
QUANTUM = Decimal("1e-9")
_NAMES = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "ft": "ft",
    '"': "in",
    "''": "in",
    "’’": "in",
    "′′": "in",
    "″": "in",
    "”": "in",
    "'": "ft",
    "′": "ft",
    "’": "ft",
}
_SAID: Typed[str] = Typed(
    [
        (pgettext_lazy("typed after a length", "inch|inches"), "in"),
        (pgettext_lazy("typed after a length", "foot|feet"), "ft"),
        (pgettext_lazy("typed after a length", "metre|metres|meter|meters"), "m"),
        (pgettext_lazy("typed after a length", "centimetre|centimetres|centimeters"), "cm"),
        (pgettext_lazy("typed after a length", "millimetre|millimetres|millimeters"), "mm"),
    ]
)
_TERM = re.compile(
    r"""\s*(?P<hyphen>-?)\s*
    (?:(?P<whole>\d+)[\s-]+(?P<num1>\d+)/(?P<den1>\d+) # 2 1/2, 2-1/2
      |(?P<num2>\d+)/(?P<den2>\d+)                    # 3/4
      |(?P<plain>\d+(?:[.,]\d+)?|[.,]\d+))            # 35, 1.2, 1,2
    \s*(?:(?P<unit>[^\W\d_]+|''|’’|′′|["'″′”’])\.?)?\s*""",
    re.VERBOSE,
)
# ½, ¼, ⅝ …: characters of their own.
_FRACTIONS = re.compile("[¼-¾⅐-⅞]")
# The scales a temperature may be typed and shown in; it is kept in °C.
CELSIUS, FAHRENHEIT = "C", "F"
SCALES = ((CELSIUS, "°C"), (FAHRENHEIT, "°F"))
_TENTH = Decimal("0.1")
_TEMPERATURE = re.compile(r"(?P<number>-?\d{1,4}(?:[.,]\d{1,4})?)\s*[°º]?\s*(?P<unit>[CcFf])?")

# “20 °C”, “−20 to 50 °C”, as the sentences of this service write them in each of its languages.
_FIGURE = r"[-−]?\d+(?:[.,]\d+)?"
_TO = r"\s(?:to|bis|a|à)\s|\s?(?:から|〜|～)\s?"
_IN_WORDS = re.compile(rf"(?:(?P<low>{_FIGURE})(?P<to>{_TO}))?(?P<value>{_FIGURE})\s?°C")


class Length(NamedTuple):
    """A length in metres and the unit it was written in."""

    metres: Decimal
    unit: str


class Quantity(NamedTuple):
    """A number and the symbol of the unit it is said in: dB, kΩ, ° …"""

    value: Decimal
    unit: str


def parse_length(text: str, default_unit: str = "mm") -> Length:
    """Read a length; a bare number is in `default_unit`.

    Feet and inches may stand together (3' 6", 3 ft 6 in, 3'6, 3'-6") and are kept as feet.
    Raises ValueError, with words fit for a form, on anything else.
    """
    total, position = Decimal(0), 0
    units: list[str] = []
    text = text.strip()
    plainly = _FRACTIONS.sub(lambda match: f" {unicodedata.normalize('NFKC', match[0])}", text)
    # NFKC writes ½ with a fraction slash, and lengths are shown with a true minus sign.
    plainly = plainly.replace("⁄", "/").replace("−", "-").strip()
    is_negative = plainly.startswith("-")
    plainly = plainly.removeprefix("-")
    # `not units`: an empty text runs through once, and is refused by the match.
    while position < len(plainly) or not units:
        match = _TERM.match(plainly, position)
        # A hyphen joins feet and inches, and is no sign there.
        if match is None or len(units) == 2 or (match["hyphen"] and units != ["ft"]):
            said = _("“{text}” is not a length. Write 35 mm, 1.2 m or 2 1/2 in.")
            raise ValueError(said.format(text=text))
        # Whoever writes 3'6 means inches after the feet.
        following = "in" if units == ["ft"] else default_unit
        unit = _unit(match["unit"] or following, text)
        total += _number(match) * METRES_PER[unit]
        units.append(unit)
        position = match.end()
    if len(units) == 2 and units != ["ft", "in"]:
        said = _("“{text}” mixes units. Only feet and inches do, as in 3 ft 6 in.")
        raise ValueError(said.format(text=text))
    try:
        total = total.quantize(QUANTUM)
        # `+ 0` turns −0 into 0: they compare alike, but −0 would be written with its sign.
        return Length((-total if is_negative else total).normalize() + 0, units[0])
    except InvalidOperation:
        # More digits than a Decimal keeps at this precision.
        said = _("“{text}” is longer than any length can be.")
        raise ValueError(said.format(text=text)) from None


def _unit(name: str, text: str) -> str:
    unit = _NAMES.get(name.lower()) or _SAID.get(name)
    if unit is None:
        said = _("“{text}”: unknown unit “{name}”. Use mm, cm, m, in or ft.")
        raise ValueError(said.format(text=text, name=name))
    return unit


def _number(match: re.Match[str]) -> Decimal:
    whole = match["whole"] or "0"
    top, bottom = match["num1"] or match["num2"], match["den1"] or match["den2"]
    if bottom is not None:
        if int(bottom) == 0:
            raise ValueError(_("A fraction cannot have 0 below the line."))
        # As a fraction first: 1/3 in as a Decimal would be rounded before it is added.
        part = Fraction(int(whole)) + Fraction(int(top), int(bottom))
        value = Decimal(part.numerator) / Decimal(part.denominator)
    else:
        try:
            value = Decimal(match["plain"].replace(",", "."))
        except InvalidOperation:  # pragma: no cover - the pattern admits only numbers
            said = _("“{text}” is not a number.")
            raise ValueError(said.format(text=match["plain"])) from None
    return value


def parse_temperature(text: str, scale: str = CELSIUS) -> Decimal:
    """Degrees Celsius, to a tenth; a bare number is in `scale`. “21.5”, “68 °F”, “68F”.

    t/°C = (t/°F − 32) / 1.8, exactly (NIST SP 811, B.8). Raises ValueError with words for a form.
    """
    match = _TEMPERATURE.fullmatch(text.strip().replace("−", "-"))
    if match is None:
        said = _("“{text}” is not a temperature. Write 21.5 °C or 68 °F.")
        raise ValueError(said.format(text=text))
    degrees = Decimal(match["number"].replace(",", "."))
    if (match["unit"] or scale).upper() == FAHRENHEIT:
        degrees = (degrees - 32) / Decimal("1.8")
    return degrees.quantize(_TENTH) + 0


def format_temperature(celsius: Decimal, scale: str = CELSIUS) -> str:
    """“21.5 °C”, or in the other scale “70.7 °F”, with a true minus sign.

    t/°F = 1.8 t/°C + 32, exactly (NIST SP 811, B.8), to a tenth: read back, it is the same °C.
    """
    return f"{_degrees(celsius, scale)} {dict(SCALES)[scale]}"


def _degrees(celsius: Decimal, scale: str) -> str:
    if scale == FAHRENHEIT:
        celsius = (celsius * Decimal("1.8") + 32).quantize(_TENTH)
    return _for_the_eye(celsius).replace("-", "−")


def _with_minus(figure: str) -> Decimal:
    return Decimal(figure.replace("−", "-").replace(",", "."))


def temperatures_in(words: str, scale: str) -> str:
    """A sentence of this service, written in °C, with its temperatures in `scale`."""
    if scale == CELSIUS:
        return words

    def converted(match: re.Match[str]) -> str:
        value = format_temperature(_with_minus(match["value"]), scale)
        low = match["low"]
        return f"{_degrees(_with_minus(low), scale)}{match['to']}{value}" if low else value

    return _IN_WORDS.sub(converted, words)


def plain(number: Decimal) -> str:
    """A Decimal without exponent or trailing zeros: 1E+1 → 10, 2.50 → 2.5."""
    text = format(number.normalize(), "f")
    return "0" if text in ("-0", "") else text


def _for_the_eye(number: Decimal) -> str:
    """`plain`, with the decimal sign of the reader's language."""
    return localised(plain(number))


def quantity_text(quantity: Quantity) -> str:
    """“32 dB”, “15°”: without trailing zeros, with a true minus sign."""
    figure = _for_the_eye(quantity.value).replace("-", "−")
    return f"{figure} {quantity.unit}".rstrip().replace(" °", "°")


def ohms_of_label(ohms: Decimal) -> Quantity:
    """As it stands on a label: 140000 Ω → 140 kΩ, 1000000 Ω → 1 MΩ, 150 Ω."""
    for size, symbol in ((Decimal(10**6), "MΩ"), (Decimal(1000), "kΩ")):
        if abs(ohms) >= size:
            return Quantity(ohms / size, symbol)
    return Quantity(ohms, "Ω")


def format_ohms(ohms: Decimal) -> str:
    """“140 kΩ”, as it stands on a label."""
    return quantity_text(ohms_of_label(ohms))


def in_unit(metres: Decimal, unit: str) -> Decimal:
    """`metres` in `unit`, to the nearest thousandth of it."""
    return (metres / METRES_PER[unit]).quantize(Decimal("0.001")).normalize() + 0


def format_length(metres: Decimal, unit: str) -> str:
    """As entered: 0.035, mm → “35 mm”; 1/16 in steps stay decimal."""
    return f"{_for_the_eye(in_unit(metres, unit))} {unit}"


def plain_length(metres: Decimal, unit: str) -> str:
    """As `format_length`, the same in every language: for files that are read back."""
    return f"{plain(in_unit(metres, unit))} {unit}"


def format_both(metres: Decimal, unit: str) -> str:
    """As entered, with the other system beside it: “35 mm (1.4 in)”; small ones to two figures,
    “1 mm (0.039 in)”: to fixed places that would be no inches at all."""
    other = OTHER_UNIT[unit]
    if other == "ft" and abs(metres) < METRES_PER["ft"]:
        other = "in"  # nobody reads off hundredths of a foot
    exact = metres / METRES_PER[other]
    places = max(_SHOWN_PLACES[other], 1 - exact.adjusted()) if exact else 0
    rounded = exact.quantize(Decimal(1).scaleb(-places))
    return f"{format_length(metres, unit)} ({_for_the_eye(rounded)} {other})".replace("-", "−")


# Exactly, by the international yard and pound agreement of 1959.
KG_PER_LB = Decimal("0.45359237")


def pounds(kilograms: Decimal) -> Decimal:
    """To a tenth."""
    return (kilograms / KG_PER_LB).quantize(Decimal("0.1"))


def format_weight(kilograms: Decimal) -> str:
    """“21.4 kg (47.2 lb)”: as noted, with pounds to a tenth."""
    return f"{_for_the_eye(kilograms)} kg ({_for_the_eye(pounds(kilograms))} lb)"
