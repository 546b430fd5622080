"""Where a microphone stands, as crews write it in a cell: “25mm off grille, 45° off axis”. Pure."""

from __future__ import annotations

import re

from core.units import parse_length, plain

Fields = dict[str, str]

_LENGTH = r"""
    (?P<length>[-−]?[\d½¼¾⅛⅜⅝⅞][\d\s.,/½¼¾⅛⅜⅝⅞]*
      (?:(?:mm|cm|m|in|inch|inches|ft|foot|feet)\b\.?|''|["″”'′’])
      (?:[\s-]*\d[\d\s./]*(?:''|["″”]|in\b))?)
"""
_PREPOSITION = r"""
    (?:\s*(?P<how>off|from|away\ from|in\ front\ of
                 |above|over|up|below|under|beneath|underneath|down)
       (?:\s+(?:the\s+)?(?P<point>\S.*))?)?
"""
_AWAY = re.compile(_LENGTH + _PREPOSITION, re.VERBOSE | re.IGNORECASE)
_ANGLE = re.compile(
    r"(?P<deg>-?\d{1,3}(?:[.,]\d)?)\s*(?:°|deg\b\.?|degrees\b)(?:\s*off[\s-]?axis)?", re.IGNORECASE
)
_UP = ("above", "over", "up")
_DOWN = ("below", "under", "beneath", "underneath", "down")
# A decimal comma is no mark between two statements.
_BETWEEN = re.compile(r"\s*(?:[;\n]|,(?!\d))\s*")
TOUCHING = frozenset({"touching", "on it", "against it"})


def read_placement(text: str, bare: str = "") -> tuple[Fields, str]:
    """The fields that `text` states, and what of it states none, in its own words.

    `bare` is the length that one without a direction is: “distance” or “height”; empty where only
    “off”, “above” and the like make it one. A point stated twice stays in words the second time.
    """
    fields: Fields = {}
    rest: list[str] = []
    for said in filter(None, _BETWEEN.split(text)):
        read = _statement(said, bare)
        if not read or fields.keys() & read.keys():
            rest.append(said)
        else:
            fields |= read
    return fields, ", ".join(rest)


def _statement(said: str, bare: str) -> Fields:
    said = said.strip(" .!")
    # “on axis 1 cm off the cloth” is two statements without a mark between them.
    if (match := re.fullmatch(r"on[\s-]axis,?\s+(\S.*)", said, re.IGNORECASE)) and (
        more := _statement(match[1], bare)
    ):
        return {"angle_deg": "0"} | more
    if match := _ANGLE.fullmatch(said):
        return {"angle_deg": match["deg"].replace(",", ".")}
    if re.fullmatch(r"on[\s-]axis", said, re.IGNORECASE):
        return {"angle_deg": "0"}
    if bare and said.casefold() in TOUCHING:
        return {f"{bare}_m": "0", f"{bare}_unit": "mm"}
    match = _AWAY.fullmatch(said)
    if match is None:
        return {}
    how = (match["how"] or "").casefold()
    key = "height" if how in _UP + _DOWN else "distance" if how else bare
    try:
        metres, unit = parse_length(match["length"])
    except ValueError:
        return {}
    if not key or (how and key == "distance" and not match["point"]):
        return {}
    fields = {f"{key}_m": plain(-metres if how in _DOWN else metres), f"{key}_unit": unit}
    if match["point"]:
        fields["reference_point"] = match["point"].strip(" .!")
    return fields
