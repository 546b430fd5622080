"""Columns of the input list: how we head them, what strangers call them, how a cell is read."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

from core.units import Length, format_length, parse_length, plain

# What a cell means: nothing said, or a value for one or more fields of an input.
Fields = dict[str, Any]
Reader = Callable[[str], Fields]

_YES = {"yes", "y", "x", "on", "true", "1", "48", "48v", "+48", "+48v", "ja", "oui", "✓", "✔"}
_NO = {"no", "n", "off", "false", "0", "-", "–", "nein", "non", ""}

_OFF = _NO | {"flat", "out"}
# What stands in a cell that is as good as empty.
DASHES = frozenset({"-", "–", "—", "n/a", "na", "./."})


class Column(NamedTuple):
    """`key` is the input's field (or player, device); `names` are other headings, tidied."""

    key: str
    heading: str
    names: tuple[str, ...]
    read: Reader


def text(key: str) -> Reader:
    return lambda cell: {key: cell}


def yes_no(key: str) -> Reader:
    def read(cell: str) -> Fields:
        said = cell.casefold().replace(" ", "")
        if said in _YES:
            return {key: True}
        if said in _NO:
            return {key: False}
        raise ValueError(f"“{cell}” is neither yes nor no.")

    return read


def number(key: str, what: str, units: tuple[str, ...] = ()) -> Reader:
    def read(cell: str) -> Fields:
        said = cell.casefold().replace("−", "-").replace(",", ".").replace(" ", "")
        for unit in units:
            said = said.removesuffix(unit)
        factor = Decimal(1)
        if "hz" in units and said.endswith("k"):
            said, factor = said[:-1], Decimal(1000)
        try:
            value = Decimal(said) * factor
        except InvalidOperation:
            raise ValueError(f"“{cell}” is not {what}.") from None
        if not value.is_finite():
            raise ValueError(f"“{cell}” is not {what}.")
        return {key: plain(value)}

    return read


def cutoff(key: str) -> Reader:
    """A filter's frequency; “off”, “no” and 0 mean none."""
    read = number(key, "a frequency in Hz", ("hz",))

    def read_or_off(cell: str) -> Fields:
        return {key: None} if cell.casefold() in _OFF else read(cell)

    return read_or_off


def whole(cell: str) -> Fields:
    said = cell.strip().lstrip("#").removesuffix(".0")
    if not said.isdigit():
        raise ValueError(f"“{cell}” is not a channel number.")
    return {"number": int(said)}


def pad(cell: str) -> Fields:
    """A pad is written as 20, -20 or −20 dB; it always takes away. “no” and 0 mean none."""
    if cell.casefold() in _OFF:
        return {"pad_db": None}
    value = Decimal(number("pad_db", "a pad in dB", ("db",))(cell)["pad_db"])
    return {"pad_db": plain(-abs(value))}


def pan(cell: str) -> Fields:
    """C, L, R, L50, 50 R, -50: to −100 … 100."""
    said = cell.casefold().replace(" ", "").replace("−", "-").removesuffix("%")
    if said in ("c", "centre", "center", "mid", "0"):
        return {"pan": 0}
    match = re.fullmatch(r"(?:(l|left|r|right)(\d{0,3})|(\d{1,3})(l|r))", said)
    if match:
        side, amount = match[1] or match[4], int(match[2] or match[3] or 100)
        said = str(-amount if side.startswith("l") else amount)
    if not re.fullmatch(r"-?\d{1,3}", said) or abs(int(said)) > 100:
        raise ValueError(f"“{cell}” is not a pan position. Write L50, C or R30.")
    return {"pan": int(said)}


def length(name: str) -> Reader:
    def read(cell: str) -> Fields:
        found: Length = parse_length(cell)
        return {f"{name}_m": plain(found.metres), f"{name}_unit": found.unit}

    return read


COLUMNS: tuple[Column, ...] = (
    Column("number", "Channel", ("ch", "chan", "no", "nr", "input", "inputno", "in", "#"), whole),
    Column("name", "Name", ("source", "description", "inputname", "what", "label"), text("name")),
    Column("player", "Player", ("musician", "who", "instrument", "group"), text("player")),
    Column(
        "device",
        "Microphone or DI",
        ("mic", "mics", "microphone", "micdi", "di", "device", "transducer"),
        text("device"),
    ),
    Column("stand", "Stand", ("stands", "micstand", "clip"), text("stand")),
    Column(
        "stage_position",
        "Cable or stage box",
        ("box", "stagebox", "multi", "patch", "cable", "line", "position", "sub"),
        text("stage_position"),
    ),
    Column("phantom", "Phantom", ("48v", "48", "p48", "phantompower"), yes_no("phantom")),
    Column("pad_db", "Pad, dB", ("pad", "paddb"), pad),
    Column(
        "gain_db",
        "Gain, dB",
        ("gain", "preamp", "preampgain", "trim", "gaindb"),
        number("gain_db", "a gain in dB", ("db",)),
    ),
    Column(
        "high_pass_hz",
        "High-pass, Hz",
        ("hpf", "hp", "highpass", "lowcut", "locut"),
        cutoff("high_pass_hz"),
    ),
    Column(
        "low_pass_hz",
        "Low-pass, Hz",
        ("lpf", "lp", "lowpass", "highcut", "hicut"),
        cutoff("low_pass_hz"),
    ),
    Column("pan", "Pan", ("panning", "lr"), pan),
    Column(
        "reversed_polarity",
        "Polarity reversed",
        ("polarity", "phase", "ø", "invert"),
        yes_no("reversed_polarity"),
    ),
    Column("aimed_at", "Aimed at", ("aim", "target"), text("aimed_at")),
    Column("reference_point", "Measured from", ("from", "reference"), text("reference_point")),
    Column("distance", "Distance", ("dist",), length("distance")),
    Column(
        "angle_deg", "Angle, °", ("angle", "deg"), number("angle_deg", "an angle", ("°", "deg"))
    ),
    Column("height", "Height", ("high",), length("height")),
    Column("notes", "Notes", ("note", "comment", "comments", "remarks", "remark"), text("notes")),
)
BY_KEY = {column.key: column for column in COLUMNS}


def show(key: str, row: Any) -> str:
    """The cell for an input: the text that the column's reader reads back to the same value."""
    if key == "player":
        return str(row.rig.player.name)
    if key == "device":
        return str(row.device) if row.device else ""
    if key in ("distance", "height"):
        metres = getattr(row, f"{key}_m")
        return "" if metres is None else format_length(metres, getattr(row, f"{key}_unit"))
    value = getattr(row, key)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if key == "pan":
        return "C" if value == 0 else f"{'L' if value < 0 else 'R'}{abs(value)}"
    if value is None:
        return ""
    return plain(value) if isinstance(value, Decimal) else str(value)
