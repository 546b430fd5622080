"""What a tracked field is called on a page, and how its value reads there. No queries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cache

from django.utils.text import capfirst

from core.durations import format_duration
from core.units import format_both, plain
from rigs.facts import FACTS
from rigs.models import PARTS
from rigs.models.parts import Column, columns
from rigs.revisions.edits import Value
from rigs.settings_of_controls import Style

# Where the model's own word does not stand alone on a page.
LABELS: dict[tuple[str, str], str] = {
    ("rig", "retired"): "put away",
    ("control", "unit"): "belongs to",
    ("control", "style"): "kind of control",
    ("control", "symbol"): "unit of the value",
    ("fact", "unit"): "belongs to",
    ("spare", "unit"): "belongs to",
    ("link", "source"): "from",
    ("link", "target"): "to",
    ("link", "from_socket"): "out of socket",
    ("link", "to_socket"): "into socket",
    ("input", "phantom"): "phantom power",
    ("input", "reversed_polarity"): "polarity",
    ("photo", "about"): "shows",
    ("photo", "image"): "picture",
    ("pin", "about"): "points at",
    ("pin", "photo"): "on",
    ("pin", "x"): "from the left",
    ("pin", "y"): "from the top",
    ("song_setting", "value"): "setting",
    ("song_setting", "at_s"): "time in the song",
}
LENGTHS = {
    "distance_m": "distance_unit",
    "height_m": "height_unit",
    "offset_m": "offset_unit",
    "length_m": "length_unit",
    "plan_right_m": "plan_right_unit",
    "plan_front_m": "plan_front_unit",
}
UNITS_OF = {unit: metres for metres, unit in LENGTHS.items()}
_BOOLS = {"phantom": ("off", "on"), "reversed_polarity": ("normal", "reversed")}


@cache
def column(kind: str, field: str) -> Column | None:
    """The tracked column, or None for one that a later version of the program dropped."""
    model = PARTS.get(kind)
    return next((c for c in columns(model) if c.name == field), None) if model else None


@cache
def rank(kind: str, field: str) -> int:
    """The field's place among those of its kind; a part that comes or goes whole is first."""
    names = PARTS[kind].TRACKED if kind in PARTS else ()
    return names.index(field) if field in names else -1


@cache
def label(kind: str, field: str) -> str:
    """“Preamp gain” for gain_db: the unit of measure goes with the value, not with the word."""
    if field == "position":
        return "Place in the order"
    if field in UNITS_OF:
        return f"Unit of the {label(kind, UNITS_OF[field]).lower()}"
    known = column(kind, field)
    words = LABELS.get((kind, field)) or (known.field.verbose_name if known else field)
    words = str(words).split(", ")[0].replace("_", " ")
    return capfirst(words)


def default(kind: str, field: str) -> Value:
    known = column(kind, field)
    return known.default if known else None


def text(kind: str, field: str, value: Value, known: Mapping[str, Value] | None = None) -> str:
    """`value` as it reads on a page; empty where nothing is set.

    None stands for the field's default. `known` holds other fields of the same part: the unit of
    a length, the style of a control. Fields that point at records are not for here.
    """
    value = default(kind, field) if value is None else value
    if value is None or value == "":
        return ""
    others = known or {}
    if field in LENGTHS:
        return format_both(Decimal(str(value)), unit_of(kind, field, others))
    if isinstance(value, bool):
        return _BOOLS.get(field, ("no", "yes"))[value]
    special = _SPECIAL.get((kind, field))
    return special(value, others) if special else _choice(kind, field, value)


def unit_of(kind: str, field: str, known: Mapping[str, Value]) -> str:
    """The unit that the length `field` was written in."""
    name = LENGTHS[field]
    return str(known.get(name) or default(kind, name) or "mm")


def number(value: Value) -> str:
    """Without trailing zeros, with a true minus sign."""
    return plain(Decimal(str(value))).replace("-", "−")


def pan(value: Value) -> str:
    side = int(value or 0)
    if side == 0:
        return "centre"
    direction = "left" if side < 0 else "right"
    return f"hard {direction}" if abs(side) == 100 else f"{abs(side)} {direction}"


def setting(value: Value, known: Mapping[str, Value]) -> str:
    """A control's setting with its unit: “35 ms”, “3:1”; others as they are: “2:30”.

    Empty where nothing is set: a unit alone says nothing.
    """
    if value is None or value == "":
        return ""
    symbol = str(known.get("symbol") or "")
    if known.get("style") == Style.VALUE:
        space = "" if symbol.startswith(":") else " "
        return f"{str(value).replace('-', '−')}{space}{symbol}".strip()
    return str(value)


def _fact(value: Value, known: Mapping[str, Value]) -> str:
    fact = FACTS.get(str(known.get("key", "")))
    return fact.shown(Decimal(str(value))) if fact else number(value)


def _choice(kind: str, field: str, value: Value) -> str:
    known = column(kind, field)
    choices = dict(known.field.flatchoices) if known else {}
    return str(choices.get(value, value))


def _with(symbol: str) -> Callable[[Value, Mapping[str, Value]], str]:
    return lambda value, _: f"{number(value)} {symbol}".replace(" °", "°")


def percent(value: Value, _: Mapping[str, Value] | None = None) -> str:
    """A fraction of a picture's side: “43.25 %”."""
    return f"{number(str(Decimal(str(value)) * 100))} %"


_SPECIAL: dict[tuple[str, str], Callable[[Value, Mapping[str, Value]], str]] = {
    ("input", "angle_deg"): _with("°"),
    ("input", "pad_db"): _with("dB"),
    ("input", "gain_db"): _with("dB"),
    ("input", "high_pass_hz"): _with("Hz"),
    ("input", "low_pass_hz"): _with("Hz"),
    ("input", "pan"): lambda value, _: pan(value),
    ("control", "low"): lambda value, _: number(value),
    ("control", "high"): lambda value, _: number(value),
    ("control", "setting"): setting,
    ("fact", "value"): _fact,
    ("pin", "x"): percent,
    ("pin", "y"): percent,
    ("song_setting", "at_s"): lambda value, _: format_duration(int(value or 0)),
}
