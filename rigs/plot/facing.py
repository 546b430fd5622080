"""Which way a thing on the stage faces: degrees from downstage, less than 0 to stage left. Pure.

0° is towards the audience, 90° stage right, 180° upstage, −90° stage left: the same signs as those
of places, from above clockwise as the audience sees the sheet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

# Eight directions have a name; the angles between them are said in degrees.
DIRECTIONS: Mapping[int, str] = {
    0: gettext_noop("downstage"),
    45: gettext_noop("downstage right"),
    90: gettext_noop("stage right"),
    135: gettext_noop("upstage right"),
    180: gettext_noop("upstage"),
    -135: gettext_noop("upstage left"),
    -90: gettext_noop("stage left"),
    -45: gettext_noop("downstage left"),
}
# How far it is turned from downstage.
FACING = (gettext_noop("{degrees}° stage right"), gettext_noop("{degrees}° stage left"))
_OTHERWISE = {"audience": 0, "the audience": 0, "house left": 90, "house right": -90}
_NAMED = {**{name: degrees for degrees, name in DIRECTIONS.items()}, **_OTHERWISE}
_DEGREES = re.compile(r"([-−+]?)\s*(\d{1,3})\s*(?:°|deg|degrees)?\s*(.*)")


def in_circle(degrees: int) -> int:
    """The same direction from −179 to 180."""
    return 180 - (180 - degrees) % 360


def facing_words(degrees: int | None) -> str:
    """“upstage”, “30° stage right”: that far from downstage. Empty where nobody said it."""
    if degrees is None:
        return ""
    turned = in_circle(degrees)
    if turned in DIRECTIONS:
        return _(DIRECTIONS[turned])
    return _between(right=turned > 0).format(degrees=abs(turned))


def _between(*, right: bool) -> str:
    return _(FACING[0] if right else FACING[1])


def offered() -> list[tuple[int, str]]:
    """What is offered where a direction is typed, with its degrees for plot.js."""
    return [(degrees, _(name)) for degrees, name in DIRECTIONS.items()]


def read_facing(text: str) -> int | None:
    """Degrees of what was typed, in English or as `facing_words` says it; None for nothing.

    Raises ValueError with what can be written.
    """
    said = " ".join(text.casefold().split()).removeprefix("towards ").removeprefix("faces ")
    if not said:
        return None
    if said in _NAMED:
        return _NAMED[said]
    own = _own_words(said)
    return _in_english(text, said) if own is None else own


def _own_words(said: str) -> int | None:
    """Degrees of what this service itself says in the language of the reader."""
    for degrees, name in offered():
        if said == name.casefold():
            return degrees
    for right in (True, False):
        before, after = _between(right=right).casefold().split("{degrees}")
        if said.startswith(before) and said.endswith(after):
            figure = said.removeprefix(before).removesuffix(after)
            if figure.isdecimal() and int(figure) <= 360:
                return in_circle(int(figure) * (1 if right else -1))
    return None


def _in_english(text: str, said: str) -> int:
    if said == "left":
        raise ValueError(_("Stage left, or house left? Write stage left or house left."))
    if said == "right":
        raise ValueError(_("Stage right, or house right? Write stage right or house right."))
    match = _DEGREES.fullmatch(said)
    if match is None or int(match[2]) > 360 or (match[3] and match[1]):
        raise ValueError(
            _("“{text}” is no direction. Write downstage, upstage left, 30° stage right …").format(
                text=text
            )
        )
    side = match[3] or ("stage left" if match[1] in ("-", "−") else "stage right")
    if side not in ("stage left", "stage right", "house left", "house right"):
        raise ValueError(
            _("“{words}”: write stage left or stage right behind the degrees.").format(
                words=match[3]
            )
        )
    return in_circle(int(match[2]) * (1 if _NAMED[side] > 0 else -1))


def turned(across: float, ahead: float, degrees: int) -> tuple[float, float]:
    """What is `across` to its right hand and `ahead` in front of a thing, to stage right and
    upstage of it."""
    angle = math.radians(degrees)
    right = across * math.cos(angle) + ahead * math.sin(angle)
    return right, across * math.sin(angle) - ahead * math.cos(angle)
