"""Which way a thing on the stage faces: degrees from downstage, less than 0 to stage left. Pure.

0° is towards the audience, 90° stage right, 180° upstage, −90° stage left: the same signs as those
of places, from above clockwise as the audience sees the sheet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, pgettext_lazy

from core.languages.typed import Typed
from core.languages.words import in_every_language

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
_OTHERWISE: Typed[int] = Typed(
    [
        (gettext_lazy("audience|the audience"), 0),
        (pgettext_lazy("typed of the plot", "house left"), 90),
        (pgettext_lazy("typed of the plot", "house right"), -90),
    ]
)
_SIDES = (90, -90)
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
    own = _named(said)
    if own is None:
        own = _own_words(said)
    return _in_english(text, said) if own is None else own


def _named(said: str) -> int | None:
    """Degrees of a direction that has a name, in whatever language."""
    for degrees, name in DIRECTIONS.items():
        if said in {each.casefold() for each in in_every_language(name)}:
            return degrees
    return _OTHERWISE.get(said)


def _ways_to_say() -> Iterator[tuple[bool, str]]:
    """Whether to the right, and how it is said between the directions that have a name."""
    for right, message in zip((True, False), FACING, strict=True):
        yield from ((right, words) for words in in_every_language(message))


def _own_words(said: str) -> int | None:
    """Degrees of what this service itself says in each of its languages."""
    for right, words in _ways_to_say():
        before, after = words.casefold().split("{degrees}")
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
    degrees = _named(side)
    if degrees not in _SIDES:
        raise ValueError(
            _("“{words}”: write stage left or stage right behind the degrees.").format(
                words=match[3]
            )
        )
    return in_circle(int(match[2]) * (1 if degrees == _SIDES[0] else -1))


def turned(across: float, ahead: float, degrees: int) -> tuple[float, float]:
    """What is `across` to its right hand and `ahead` in front of a thing, to stage right and
    upstage of it."""
    angle = math.radians(degrees)
    right = across * math.cos(angle) + ahead * math.sin(angle)
    return right, across * math.sin(angle) - ahead * math.cos(angle)
