"""How large gear is: a drum’s size, an amplifier’s power, a case’s sides. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from core.languages.words import each_of
from core.units import METRES_PER, plain
from rigs.facts import FACTS

# The figures that say it, in the order in which they are said.
SIZES = ("diameter", "shell_depth", "speaker_impedance", "output_power")
PACKED = ("packed_length", "packed_width", "packed_height")
_PLACES = {"mm": Decimal(1), "in": Decimal("0.1")}


def size_in_words(own: Mapping[str, Decimal]) -> str:
    """“22 in × 16 in” of a drum, “8 Ω, 100 W” of what has other figures; `own` are values in SI by
    key of rigs.facts, others are ignored."""
    said = {key: FACTS[key].shown(own[key]) for key in SIZES if key in own}
    drum = " × ".join(said[key] for key in SIZES[:2] if key in said)
    return each_of([drum, *(said[key] for key in SIZES[2:] if key in said)])


def packed_size(own: Mapping[str, Decimal]) -> str:
    """“600 × 450 × 300 mm (23.6 × 17.7 × 11.8 in)” of a case; empty unless all three are noted."""
    if any(key not in own for key in PACKED):
        return ""
    metres = [own[key] for key in PACKED]
    return f"{_sides(metres, 'mm')} ({_sides(metres, 'in')})"


def _sides(metres: list[Decimal], unit: str) -> str:
    places = _PLACES[unit]
    sides = [(side / METRES_PER[unit]).quantize(places) for side in metres]
    return f"{' × '.join(plain(side) for side in sides)} {unit}"


def tells_size(name: str, size: str) -> bool:
    """Whether `name` has every figure of `size` already, as a drum called “24 × 14 in” has."""
    return set(_figures(size)) <= set(_figures(name))


def _figures(text: str) -> list[str]:
    spelled = text.replace("½", ".5").replace("¼", ".25").replace("¾", ".75")
    # With a comma where the reader's language has one.
    found = re.findall(r"\d+(?:[.,]\d+)?", spelled)
    return [figure.replace(",", ".") for figure in found]
