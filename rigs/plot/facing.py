"""Which way a thing on the stage faces: degrees from downstage, less than 0 to stage left. Pure.

0° is towards the audience, 90° stage right, 180° upstage, −90° stage left: the same signs as those
of places, from above clockwise as the audience sees the sheet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

# Eight directions have a name; the angles between them are said in degrees.
DIRECTIONS: Mapping[int, str] = {
    0: "downstage",
    45: "downstage right",
    90: "stage right",
    135: "upstage right",
    180: "upstage",
    -135: "upstage left",
    -90: "stage left",
    -45: "downstage left",
}
_OTHERWISE = {"audience": 0, "the audience": 0, "house left": 90, "house right": -90}
_NAMED = {**{name: degrees for degrees, name in DIRECTIONS.items()}, **_OTHERWISE}
_DEGREES = re.compile(r"([-−+]?)\s*(\d{1,3})\s*(?:°|deg|degrees)?\s*(.*)")
EXAMPLES = "downstage, upstage left, 30° stage right …"


def in_circle(degrees: int) -> int:
    """The same direction from −179 to 180."""
    return 180 - (180 - degrees) % 360


def facing_words(degrees: int | None) -> str:
    """“upstage”, “30° stage right”: that far from downstage. Empty where nobody said it."""
    if degrees is None:
        return ""
    turned = in_circle(degrees)
    side = "right" if turned > 0 else "left"
    return DIRECTIONS.get(turned) or f"{abs(turned)}° stage {side}"


def read_facing(text: str) -> int | None:
    """Degrees of what was typed; None for nothing. Raises ValueError with what can be written."""
    said = " ".join(text.casefold().split()).removeprefix("towards ").removeprefix("faces ")
    if not said:
        return None
    if said in _NAMED:
        return _NAMED[said]
    if said in ("left", "right"):
        raise ValueError(f"Stage {said}, or house {said}? Write stage {said} or house {said}.")
    match = _DEGREES.fullmatch(said)
    if match is None or int(match[2]) > 360 or (match[3] and match[1]):
        raise ValueError(f"“{text}” is no direction. Write {EXAMPLES}")
    side = match[3] or ("stage left" if match[1] in ("-", "−") else "stage right")
    if side not in ("stage left", "stage right", "house left", "house right"):
        raise ValueError(f"“{match[3]}”: write stage left or stage right behind the degrees.")
    return in_circle(int(match[2]) * (1 if _NAMED[side] > 0 else -1))


def turned(across: float, ahead: float, degrees: int) -> tuple[float, float]:
    """What is `across` to its right hand and `ahead` in front of a thing, to stage right and
    upstage of it."""
    angle = math.radians(degrees)
    right = across * math.cos(angle) + ahead * math.sin(angle)
    return right, across * math.sin(angle) - ahead * math.cos(angle)
