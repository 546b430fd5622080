"""What travels how, and what a carnet and the mains want to know of it. Every figure is made up.

Some things lack a value, a weight or a country: the lists say so.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from notes.demo.spec import R, U


class Carried(NamedTuple):
    """The case, the serial number, the country and the value with its currency, the sides in mm
    and the weight in kg of a thing in its case, and its rating plate. Empty: nobody noted it."""

    case: str = ""
    serial: str = ""
    country: str = ""
    worth: str = ""
    sides: str = ""
    weight: str = ""
    plate: str = ""


_DRUMS, _CYMBALS = "Case 1, drums", "Case 2, snare and cymbals"
_HEAD = "230 V, 50 Hz, 1.6 A"
_COMBO = "120/230 V, 50/60 Hz, 160 W"
_SUPPLY = "100–240 V, 50/60 Hz, 0.3 A"
# By rig and unit. Money is “1200 EUR”.
CARRIED = {
    ("Drum kit", "Kick"): Carried(
        _DRUMS, "HA-2214-07", "SE", "1150 EUR", "680 × 680 × 450", "15.5"
    ),
    ("Drum kit", "Rack tom"): Carried(_DRUMS, "HA-1309-07", "SE", "520 EUR", "", "6"),
    ("Drum kit", "Floor tom"): Carried(_DRUMS, "HA-1616-07", "SE", "640 EUR", "", "9"),
    ("Drum kit", "Snare"): Carried(
        _CYMBALS, "HA-1465-19", "SE", "780 EUR", "450 × 450 × 250", "7.5"
    ),
    ("Drum kit", "Hi-hat"): Carried(_CYMBALS, "", "TR", "410 EUR", "", "4"),
    ("Drum kit", "Ride"): Carried(_CYMBALS, "", "TR", "390 EUR", "", "4.5"),
    ("Bass main", "Long-scale bass"): Carried(
        "Case 9, basses", "PD-0931", "GB", "2400 GBP", "1300 × 420 × 140", "9"
    ),
    ("Bass main", "Valve head"): Carried(
        "", "OS60-4471", "GB", "1350 GBP", "640 × 330 × 340", "", _HEAD
    ),
    ("Bass main", "Cabinet 1 × 15"): Carried("", "OB-1208", "GB", "640 GBP", "700 × 620 × 480"),
    ("Stage-left guitar", "Long-neck guitar"): Carried(
        "Case 10, guitars", "PH-0112", "GB", "1900 GBP", "1250 × 420 × 140", "8"
    ),
    ("Stage-left guitar", "Combo"): Carried(
        "", "OT30-2203", "GB", "980 GBP", "620 × 560 × 350", "", _COMBO
    ),
    ("Stage-left guitar", "Pedal supply"): Carried(plate=_SUPPLY),
    ("Stage-right guitar", "Long-neck guitar"): Carried(
        "Case 10, guitars", "PH-0140", "GB", "1900 GBP", "1250 × 420 × 140", "8"
    ),
    ("Stage-right guitar", "Short-neck guitar"): Carried(
        "Case 10, guitars", "PW-3307", "GB", "1500 GBP", "1200 × 420 × 140", "7.5"
    ),
    ("Stage-right guitar", "Combo"): Carried(
        "", "OT30-2204", "GB", "980 GBP", "620 × 560 × 350", "", _COMBO
    ),
    ("Stage-right guitar", "Pedal supply"): Carried(plate=_SUPPLY),
    ("Organ and rotary", "Rotary cabinet"): Carried(
        "", "LM-066", "SE", "3100 EUR", "900 × 750 × 560", "", "230 V, 50 Hz, 300 W"
    ),
    ("Organ and rotary", "Electric piano"): Carried(
        "", "LT-1951", "SE", "2200 EUR", "1250 × 520 × 260", "", "100–240 V, 50/60 Hz, 40 W"
    ),
}


def with_carried(rig: R) -> R:
    """`rig` with what is known here of its units."""
    return replace(rig, units=[_unit(rig.name, unit) for unit in rig.units])


def _unit(rig: str, unit: U) -> U:
    known = CARRIED.get((rig, unit.name))
    if known is None:
        return unit
    worth, _, currency = known.worth.partition(" ")
    fields = {
        "packed_in": known.case,
        "serial": known.serial,
        "country_of_origin": known.country,
        "worth": worth,
        "currency": currency,
        "mains_rating": known.plate,
    }
    sides = known.sides.split(" × ") if known.sides else []
    figures = dict(zip(("packed_length", "packed_width", "packed_height"), sides, strict=False))
    if known.weight:
        figures["weight"] = known.weight
    filled = {name: value for name, value in fields.items() if value}
    return replace(unit, more=unit.more | filled, facts=unit.facts | figures)
