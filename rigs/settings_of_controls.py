"""Settings of controls as crews say them, and the angle a drawn dial points at. Pure.

A clock dial is read like a clock face: the pointer sweeps clockwise from about 7 o'clock to about
5 o'clock (300°, common practice, no source). A numbered dial spreads its numbers over the same
sweep. Angles are degrees clockwise from straight up.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.typed import ON_OR_OFF, narrow, typed_as
from core.languages.words import number
from core.units import plain

_CLOCK = re.compile(r"^\s*(\d{1,2})(?:[:.h](\d{2}))?\s*(?:o['’]?clock)?\s*$", re.IGNORECASE)
_HOURS = typed_as(pgettext_lazy("typed behind an hour", "o’clock"))
_OF_WORDS = typed_as(pgettext_lazy("typed between a number and the end of its dial", "of"))
# “7 of 10”, “7/10”: a number with the end of its dial, which says that no time is meant.
SWEEP_DEG = 300.0
START_DEG = -150.0
BEYOND_DEG = 8.0  # that a pointer may seem to stand beyond an end


@dataclass(frozen=True)
class Travel:
    """From where to where a knob turns: the angle of its pointer at the low end, in degrees
    clockwise from straight up, and how far it is from there to the high end."""

    start: float = START_DEG
    sweep: float = SWEEP_DEG

    def along(self, angle: float) -> float | None:
        """Degrees from the low end to where the pointer is; None where it cannot stand. A little
        beyond an end is the end."""
        far = (angle - self.start) % 360.0
        if far <= self.sweep + BEYOND_DEG:
            return min(far, self.sweep)
        return 0.0 if far >= 360.0 - BEYOND_DEG else None


USUAL_TRAVEL = Travel()
LEAST_SWEEP, MOST_SWEEP = 30.0, 345.0


def read_travel(start: str, end: str) -> Travel:
    """From the ends as they stand on a clock face, such as 7:00 and 5:00; both empty: the usual.

    Raises ValueError in words fit for a form.
    """
    if not start.strip() and not end.strip():
        return USUAL_TRAVEL
    if not start.strip() or not end.strip():
        raise ValueError(_("Give both ends of its travel, or neither."))
    first, last = (_on_face(text) for text in (start, end))
    sweep = (last - first) % 360.0
    if not LEAST_SWEEP <= sweep <= MOST_SWEEP:
        raise ValueError(
            _(
                "From {start} clockwise to {end} is {angle}°: a knob turns by {least}° to {most}°."
            ).format(
                start=start.strip(),
                end=end.strip(),
                angle=number(sweep, 0),
                least=number(LEAST_SWEEP, 0),
                most=number(MOST_SWEEP, 0),
            )
        )
    return Travel((first + 180.0) % 360.0 - 180.0, sweep)


def tidy_travel(text: str) -> str:
    """An end of a travel in its one spelling: "7" → "7:00". Raises ValueError."""
    if not text.strip():
        return ""
    minutes = round(_on_face(text) * 2) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def of_its_end(text: str) -> re.Match[str] | None:
    """A number with the end of its dial."""
    return _of().match(narrow(text))


@cache
def _of() -> re.Pattern[str]:
    return re.compile(rf"^(\S+?)\s*(?:/|{_OF_WORDS.apart})\s*(\S+)$", re.IGNORECASE)


@cache
def _hours() -> re.Pattern[str]:
    return re.compile(
        rf"^\s*(\d{{1,2}})(?:[:.h時](\d{{2}}))?\s*(?:{_HOURS.pattern}|分)?\s*$", re.IGNORECASE
    )


def _clock(text: str) -> re.Match[str] | None:
    return _CLOCK.match(text) or _hours().match(narrow(text))


def _on_face(text: str) -> float:
    """Degrees clockwise from straight up, 0 to 360, wherever on the face."""
    match = _clock(text)
    hours, minutes = (int(match[1]), int(match[2] or 0)) if match else (0, 0)
    if not 1 <= hours <= 12 or minutes > 59:
        raise ValueError(
            _("“{text}” is not a place on a clock face. Write it as 7:00.").format(text=text)
        )
    return (hours % 12) * 30 + minutes * 0.5


class Style(StrEnum):
    """What kind of control it is, and so how its setting is written. Stored in rigs."""

    CLOCK = "clock"
    DIAL = "dial"
    SWITCH = "switch"
    CHOICE = "choice"
    VALUE = "value"
    TEXT = "text"


STYLE_CHOICES = [
    (Style.CLOCK.value, gettext_lazy("dial, read as a clock")),
    (Style.DIAL.value, gettext_lazy("dial with numbers")),
    (Style.SWITCH.value, gettext_lazy("switch")),
    (Style.CHOICE.value, gettext_lazy("one of several")),
    (Style.VALUE.value, gettext_lazy("value with unit")),
    (Style.TEXT.value, gettext_lazy("free text")),
]


def tidy_setting(
    style: Style, text: str, low: Decimal | None, high: Decimal | None, choices: str
) -> str:
    """`text` in its one spelling: "2.30" → "2:30", "6,50" → "6.5", "7 of 10" → "7".

    Empty stays empty. Raises ValueError, with words fit for a form, where the control cannot stand
    there.
    """
    text = " ".join(text.split())
    if style == Style.DIAL:
        _check_scale(low, high)
    if not text:
        return ""
    if style == Style.CLOCK:
        hours, minutes = read_clock(text)
        return f"{hours}:{minutes:02d}"
    if style == Style.DIAL:
        return _on_scale(text, low, high)
    if style in (Style.SWITCH, Style.CHOICE):
        return _one_of(text, choices)
    if style == Style.VALUE:
        return plain(_number(text))
    return text


def read_clock(text: str) -> tuple[int, int]:
    """Hours 1–12 and minutes of a clock position.

    Raises ValueError for what is none, and for 5:01 to 6:59, the gap below the dial.
    """
    match = _clock(text)
    hours, minutes = (int(match[1]), int(match[2] or 0)) if match else (0, 0)
    if of_its_end(text):
        raise ValueError(
            _("“{text}” is a number, and this dial is read as a clock.").format(text=text)
        )
    if not 1 <= hours <= 12 or minutes > 59:
        raise ValueError(
            _("“{text}” is not a clock position. Write 7:00 to 5:00, such as 2:30.").format(
                text=text
            )
        )
    if abs(clock_degrees(hours, minutes)) > SWEEP_DEG / 2:
        raise ValueError(
            _("“{text}” points below the dial, which runs from 7:00 round to 5:00.").format(
                text=text
            )
        )
    return hours, minutes


def clock_degrees(hours: int, minutes: int) -> float:
    """The hour hand's angle in degrees from straight up, −180 to 180, clockwise."""
    angle = (hours % 12) * 30 + minutes * 0.5
    return angle - 360 if angle > 180 else angle


def angle_of(
    style: str,
    setting: str,
    low: Decimal | None,
    high: Decimal | None,
    travel: Travel = USUAL_TRAVEL,
) -> float | None:
    """The angle of a dial's pointer in degrees; None if it has no setting or is no dial."""
    if not setting:
        return None
    if style == Style.CLOCK:
        return clock_degrees(*read_clock(setting))
    if style == Style.DIAL:
        bottom, top = ends_of(low, high)
        return travel.start + travel.sweep * float((_number(setting) - bottom) / (top - bottom))
    return None


def setting_at(
    style: str,
    angle: float,
    low: Decimal | None,
    high: Decimal | None,
    travel: Travel = USUAL_TRAVEL,
) -> str:
    """The setting of a dial that points at `angle` degrees: to five minutes, or to a hundredth
    of its scale. Empty where it cannot point there; 8° beyond an end count as the end."""
    along = travel.along(angle)
    if along is None:
        return ""
    if style == Style.CLOCK:
        # No time says where a dial points below 7:00 and 5:00, even if it goes on there.
        on_face = USUAL_TRAVEL.along(travel.start + along)
        if on_face is None:
            return ""
        minutes = round((on_face + START_DEG) * 2 / 5) * 5 % 720
        return f"{minutes // 60 or 12}:{minutes % 60:02d}"
    if style == Style.DIAL:
        bottom, top = ends_of(low, high)
        step = (top - bottom) / 100
        value = bottom + step * round(along / travel.sweep * 100)
        return plain(value.quantize(Decimal("0.001")))
    return ""


def ends_of(low: Decimal | None, high: Decimal | None) -> tuple[Decimal, Decimal]:
    """The numbers at which a dial starts and ends: 0 and 10 unless it says otherwise."""
    return (Decimal(0) if low is None else low), (Decimal(10) if high is None else high)


def _check_scale(low: Decimal | None, high: Decimal | None) -> None:
    bottom, top = ends_of(low, high)
    if bottom >= top:
        raise ValueError(_("The dial must end at a higher number than it starts at."))


def _on_scale(text: str, low: Decimal | None, high: Decimal | None) -> str:
    bottom, top = ends_of(low, high)
    written = of_its_end(text)
    value = _number(written[1] if written else text)
    # “7 of 10” on a dial to 12 is a slip: which of the two is right is for its writer to say.
    if written and _number(written[2]) != top:
        raise ValueError(
            _("“{text}”: this dial runs {bottom} to {top}.").format(
                text=text, bottom=plain(bottom), top=plain(top)
            )
        )
    if not bottom <= value <= top:
        raise ValueError(
            _("{value} is off the dial, which runs {bottom} to {top}.").format(
                value=plain(value), bottom=plain(bottom), top=plain(top)
            )
        )
    return plain(value)


def _number(text: str) -> Decimal:
    try:
        value = Decimal(narrow(text).replace(",", ".").replace("−", "-"))
    except InvalidOperation:
        raise ValueError(_("“{text}” is not a number.").format(text=text)) from None
    if not value.is_finite() or abs(value) >= 10**9:
        raise ValueError(_("“{text}” is not a number.").format(text=text))
    return value


def positions_of(choices: str) -> list[str]:
    """The positions of a switch, or what is to be chosen from, in their order."""
    return [option.strip() for option in choices.split(",") if option.strip()]


def _one_of(text: str, choices: str) -> str:
    options = positions_of(choices)
    for option in options:
        if option.casefold() == text.casefold():
            return option
    # “on” at a switch that is called “an, aus”, and the other way round.
    meant = ON_OR_OFF.get(text)
    same = [option for option in options if meant is not None and ON_OR_OFF.get(option) == meant]
    if len(same) == 1:
        return same[0]
    if options:
        raise ValueError(
            _("“{text}” is not one of {options}.").format(text=text, options=_(", ").join(options))
        )
    return text
