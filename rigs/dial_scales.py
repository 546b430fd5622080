"""How the dials of a unit are read: like a clock face, or by the numbers around them. Pure.

`10` on a dial can be 10 of 10 or 10 o'clock. `how_read` decides for all dials of one unit, for
every way in which settings are written; where both are possible it leaves the decision to a person.
`changed_scale` reads a control on another scale, with the pointer or the figure kept.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import NamedTuple, Protocol, TypeVar

from django.utils.translation import gettext as _

from core.units import plain
from rigs.settings_of_controls import (
    START_DEG,
    SWEEP_DEG,
    Style,
    angle_of,
    ends_of,
    of_its_end,
    read_clock,
    tidy_setting,
)

# Unmistakably a time: a colon, an h or “o’clock”. 2.30 may be a number.
_SPELLED_TIME = re.compile(r"[:h：時]|clock", re.IGNORECASE)  # noqa: RUF001
# Whole hours, and hours with two digits of minutes, are numbers as well.
_NUMBER_AND_TIME = re.compile(r"^\d{1,2}(?:\.\d{2})?$")


class Reading(StrEnum):
    """How the dials of a unit are read."""

    CLOCK = "clock"
    NUMBERS = "numbers"


class Keep(StrEnum):
    """What stays when a dial gets another scale: where it points, or what is written."""

    POINTER = "pointer"
    FIGURE = "figure"


class Scale(NamedTuple):
    """The scale on which a setting is read; a numbered dial runs 0 to 10 unless it says."""

    style: str = Style.CLOCK
    low: Decimal | None = None
    high: Decimal | None = None


def scale_in(known: Mapping[str, object]) -> Scale:
    """That of a control, from its fields in a state of its rig, where defaults are left out."""
    low, high = (
        None if known.get(end) is None else Decimal(str(known[end])) for end in ("low", "high")
    )
    return Scale(str(known.get("style") or Style.CLOCK), low, high)


class ControlOnFile(Protocol):
    """A control on file, as far as its scale is concerned."""

    style: str
    setting: str


S = TypeVar("S", bound=ControlOnFile)
STYLES = {Reading.CLOCK: Style.CLOCK, Reading.NUMBERS: Style.DIAL}
DIALS = frozenset(STYLES.values())


def read_as(style: Style, reading: Reading) -> Style:
    """The style of a usual control on a unit whose dials are read so; no dial stays as it is."""
    return STYLES[reading] if style in DIALS else style


def unread(controls: Sequence[S]) -> list[S]:
    """The dials of a unit of which nobody has said yet how they are read.

    A clock that was never set says nothing: that is what a dial is until somebody writes down how
    it stands. Once a clock of the unit is set, its other clocks are clocks.
    """
    clocks = [control for control in controls if control.style == Style.CLOCK]
    return [] if any(control.setting for control in clocks) else clocks


def answered(text: str | None) -> Reading | None:
    """The reading that a field of a form holds; None where it holds none."""
    return Reading(text) if text in set(Reading) else None


def possible(text: str) -> frozenset[Reading]:
    """The ways in which the written setting of a dial can be read, numbers taken to run 0 to 10."""
    return frozenset(reading for reading, style in STYLES.items() if _reads(style, text))


def _reads(style: Style, text: str) -> bool:
    try:
        return bool(tidy_setting(style, text, None, None, ""))
    except ValueError:
        return False


def how_read(
    texts: Iterable[str], *, said: Reading | None = None, numbered: bool = False
) -> Reading | None:
    """How all dials of one unit are read, by what is written at them; None if a person must say.

    `said` is what somebody answered, or what is known of the unit: it counts. `numbered` is True
    for gear whose own dials have numbers (a guitar): there a bare number is a number. Otherwise one
    text that can be read in one way only decides for all. Texts that fit neither decide nothing,
    and where nothing is written at all, a dial is a clock.
    """
    if said is not None:
        return said
    given = [text for text in texts if text.strip()]
    if any(_SPELLED_TIME.search(text) for text in given):
        return Reading.CLOCK
    if numbered or any(of_its_end(text) for text in given):
        return Reading.NUMBERS
    ways = [possible(text) for text in given]
    for only in Reading:
        if {only} in ways:
            return only
    return None if any(ways) else Reading.CLOCK


def first_doubtful(texts: Iterable[str]) -> int:
    """The place of the first text that can be read both ways: what to ask about."""
    return next(place for place, text in enumerate(texts) if len(possible(text)) > 1)


def in_full(text: str, scale: Scale) -> str:
    """A setting with what it is counted in: “10 of 10”, “10 o’clock”, “2:30”; others as they are.

    Raises ValueError where the control cannot stand there.
    """
    style = Style(scale.style)
    setting = tidy_setting(style, text, scale.low, scale.high, "")
    if not setting or style not in DIALS:
        return setting
    if style == Style.DIAL:
        top = plain(ends_of(scale.low, scale.high)[1])
        return _("{figure} of {top}").format(figure=setting, top=top)
    hours, minutes = read_clock(setting)
    return setting if minutes else _("{hours} o’clock").format(hours=hours)


def changed_scale(setting: str, old: Scale, new: Scale, keep: Keep) -> str:
    """How a setting on the scale `old` is written on the scale `new`. Empty stays empty.

    Keeping the pointer keeps its angle, rounded to the minute or to a 1000th of the new scale
    (below a third of a degree); keeping the figure keeps its digits, hours and minutes being those
    before and behind the point. Raises ValueError where the figure cannot be on the new scale.
    """
    if not setting:
        return ""
    if keep == Keep.POINTER:
        angle = angle_of(old.style, setting, old.low, old.high)
        return setting if angle is None else _at(angle, new)
    text = setting
    if old.style == Style.CLOCK and new.style == Style.DIAL:
        hours, minutes = read_clock(setting)
        text = f"{hours}.{minutes:02d}"
    elif old.style == Style.DIAL and new.style == Style.CLOCK and not _is_both(setting):
        raise ValueError(_("{setting} is not a clock position.").format(setting=setting))
    return tidy_setting(Style(new.style), text, new.low, new.high, "")


def _is_both(number: str) -> bool:
    return bool(_NUMBER_AND_TIME.match(number))


def _at(angle: float, scale: Scale) -> str:
    """The setting of a dial whose pointer stands at `angle`, in degrees from straight up."""
    if scale.style == Style.CLOCK:
        # An hour hand turns half a degree a minute, so that twice the angle is the minutes since
        # 12.
        minutes = round((angle % 360) * 2) % 720
        return f"{minutes // 60 or 12}:{minutes % 60:02d}"
    low, high = ends_of(scale.low, scale.high)
    # By its shortest digits: the exact binary value would show in the last places.
    share = Decimal(repr((angle - START_DEG) / SWEEP_DEG))
    step = Decimal(1).scaleb(math.floor(math.log10((high - low) / 1000)))
    value = (low + share * (high - low)).quantize(step, ROUND_HALF_UP)
    return plain(min(max(value, low), high))
