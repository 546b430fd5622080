"""A rehearsal day for the ears: time allowed at each level, and the day's dose.

Guidance for planning only; docs/signal.md says what the rules leave out. The functions before the
form are pure.

The form asks for each stretch of the day how loud and how long it is. It is sent by GET, and
nothing is stored.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError

from core.limits import at_least, at_most
from rigs.cautions import Caution
from rigs.signal.exposure import (
    EXPOSURE_LIMIT,
    LOWER_ACTION,
    NIOSH,
    OSHA_CONSERVATION,
    OSHA_LIMIT,
    UPPER_ACTION,
    Criterion,
    Dose,
    allowed_seconds,
    dose,
    eight_hour_level,
    equivalent_level,
)
from rigs.whatif.answers import Table, WhatIfAnswer, number, number_beside

HOUR = 3600.0
DAY = 24 * HOUR
# How each rule is named, and what it counts.
RULES: tuple[tuple[str, str, Criterion], ...] = (
    ("NIOSH", "85 dBA for 8 h, 3 dB halve the time, counts from 80 dBA", NIOSH),
    ("OSHA, limit", "90 dBA for 8 h, 5 dB halve the time, counts from 90 dBA", OSHA_LIMIT),
    ("OSHA, hearing conservation", "the same, counts from 80 dBA", OSHA_CONSERVATION),
)
ASSUMES = (
    "A-weighted levels at the ear, steady within a stretch. Impulses, hearing protection worn or "
    "forgotten, and what the rest of the day is like are left out.",
    "NIOSH publication 98-126; OSHA 29 CFR 1910.95. Where each starts to count, and NIOSH’s upper "
    "end, are from memory. Directive 2003/10/EC limits the level normalised to 8 h to 87 dBA at "
    "the ear, and asks for action from 80 and 85 dBA.",
)
CAUTION = Caution(
    "Guidance for planning, not a limit to play up to",
    "Local law decides, and where rules differ the stricter is the safer. Nothing here is advice "
    "on health: where hearing is at stake, a qualified person measures at the ear.",
    "ear",
)


class Stretch(NamedTuple):
    """A stretch of the day: its level in dBA and its time in s."""

    level: float
    seconds: float


def answer(day: Sequence[Stretch]) -> WhatIfAnswer:
    """The time allowed at each level, the dose of the day by each rule, and what is exceeded.

    Raises ValueError for a day without any time, or a level outside 0 to 200 dBA.
    """
    doses = [(name, dose(day, rule)) for name, _, rule in RULES]
    # Never rounded onto 100 %: a day just over it must not read as allowed.
    percent = {name: number_beside(result.percent, 100, "%", 0) for name, result in doses}
    return WhatIfAnswer(
        f"Of the day’s allowance: {percent['NIOSH']} by NIOSH, {percent['OSHA, limit']} by OSHA.",
        (_allowed(day), _doses(percent), _levels(day)),
        problems=(*_too_loud(day), *_used_up(doses, percent), *_of_directive(day)),
        assumes=ASSUMES,
        caution=CAUTION,
    )


def duration(seconds: float) -> str:
    """A time in s as text: “28 s”, “47.6 min”, “2 h 31 min”, “none”, “more than 24 h”."""
    if seconds <= 0:
        return "none"
    if seconds > DAY:
        return "more than 24 h"
    # The limits lie where rounding would give “60 s”, “10.0 s” or “60.0 min”.
    if seconds < 59.5:
        return number(seconds, "s", 0 if seconds >= 9.5 else 1)
    if seconds < HOUR - 3:
        return number(seconds / 60, "min")
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60} min" if minutes % 60 else f"{minutes // 60} h"


def _allowed(day: Sequence[Stretch]) -> Table:
    rows = [
        (number(level, "dBA"), duration(seconds), _time(level, NIOSH), _time(level, OSHA_LIMIT))
        for level, seconds in day
    ]
    columns = ("Level", "Time there", "Allowed by NIOSH", "Allowed by OSHA")
    return Table(
        "Time allowed in a day at each level, if there were no other", columns, tuple(rows)
    )


def _time(level: float, rule: Criterion) -> str:
    time = duration(float(allowed_seconds(level, rule)))
    return time if level >= rule.threshold else f"{time} (not counted)"


def _doses(percentages: dict[str, str]) -> Table:
    rows = tuple((name, counts, percentages[name]) for name, counts, _ in RULES)
    columns = ("Rule", "What it counts", "Dose")
    return Table("Dose of the day; 100 % is the whole allowance", columns, rows)


def _levels(day: Sequence[Stretch]) -> Table:
    level, seconds = equivalent_level(day), sum(stretch.seconds for stretch in day)
    rows = (
        (f"Over the {duration(seconds)} entered", number(level, "dBA")),
        ("Normalised to 8 h", _beside_limit(_as_eight_hours(day))),
    )
    return Table("Equal-energy level", ("", "Level"), rows)


def _as_eight_hours(day: Sequence[Stretch]) -> float:
    seconds = sum(stretch.seconds for stretch in day)
    return float(eight_hour_level(equivalent_level(day), seconds))


def _beside_limit(level: float) -> str:
    return number_beside(level, EXPOSURE_LIMIT, "dBA")


def _used_up(doses: Sequence[tuple[str, Dose]], percentages: dict[str, str]) -> list[str]:
    """The rules by which the day has more than its allowance."""
    return [
        f"{name}: {percentages[name]} of the day’s allowance is more than there is."
        for name, dose in doses
        if not at_most(dose.percent, 100)
    ]


def _of_directive(day: Sequence[Stretch]) -> list[str]:
    """The highest value of Directive 2003/10/EC that the day is above, or has reached."""
    level = _as_eight_hours(day)
    if not at_most(level, EXPOSURE_LIMIT):
        return [
            f"Normalised to 8 h, {_beside_limit(level)} is above the exposure limit value of "
            f"{EXPOSURE_LIMIT:g} dBA at the ear (Directive 2003/10/EC)."
        ]
    for name, value in (("upper", UPPER_ACTION), ("lower", LOWER_ACTION)):
        if at_least(level, value):
            return [
                f"Normalised to 8 h, {number_beside(level, value, 'dBA')} is at or above the "
                f"{name} exposure action value of {value:g} dBA (Directive 2003/10/EC)."
            ]
    return []


def _too_loud(day: Sequence[Stretch]) -> list[str]:
    return [
        f"{number_beside(stretch.level, rule.ceiling, 'dBA')}: {name} allows no time at all above "
        f"{number(rule.ceiling, 'dBA', 0)}."
        for stretch in day
        for name, rule in (("NIOSH", NIOSH), ("OSHA", OSHA_LIMIT))
        if stretch.level > rule.ceiling
    ]


STRETCHES = 6
QUIETEST, LOUDEST = 40, 140  # dBA
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
NOT_HOURS = "Write hours as 1.5 or 1:30."
NOTHING = "Enter at least one level and its time."
TOO_LONG = "A day has 24 hours; these make {}."


class HoursField(forms.CharField):
    """A time typed as “1.5”, “1,5” or “1:30”; cleans to seconds, or None when left empty."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        clock = _CLOCK.fullmatch(text)
        hours = int(clock[1]) + int(clock[2]) / 60 if clock else _decimal(text)
        if not 0 < hours <= 24:
            raise ValidationError("More than 0 and at most 24 hours.")
        return hours * HOUR


def _decimal(text: str) -> float:
    if not re.fullmatch(r"\d{0,3}[.,]\d{1,4}|\d{1,3}", text, re.ASCII):
        raise ValidationError(NOT_HOURS)
    return float(text.replace(",", "."))


class DayForm(forms.Form):
    """The stretches of a day; a valid form gives those with a level and a time, in order."""

    ask = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for place in range(1, STRETCHES + 1):
            self.fields[f"level_{place}"] = forms.FloatField(
                label=f"level {place}, dBA",
                required=False,
                min_value=QUIETEST,
                max_value=LOUDEST,
                widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
            )
            self.fields[f"hours_{place}"] = HoursField(
                label=f"hours at level {place}",
                required=False,
                max_length=8,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"level_{n}"], self[f"hours_{n}"]) for n in range(1, STRETCHES + 1)]

    def clean(self) -> dict[str, Any]:
        for place in range(1, STRETCHES + 1):
            self._require_both(f"level_{place}", f"hours_{place}")
        if not self.errors and not self.stretches():
            raise ValidationError(NOTHING)
        total = sum(stretch.seconds for stretch in self.stretches())
        # One second to spare: hours as they are typed do not add up exactly in binary.
        if total > DAY + 1:
            minutes = round(total / 60)
            raise ValidationError(TOO_LONG.format(f"{minutes // 60} h {minutes % 60} min"))
        return self.cleaned_data

    def _require_both(self, level: str, hours: str) -> None:
        for one, other in ((level, hours), (hours, level)):
            # A field with an error of its own says enough; it is not reported as missing as well.
            lacks = self.cleaned_data.get(one) is None and one not in self.errors
            if lacks and (self.cleaned_data.get(other) is not None or other in self.errors):
                self.add_error(one, "The level and the time go together.")

    def stretches(self) -> list[Stretch]:
        pairs = (
            (self.cleaned_data.get(f"level_{n}"), self.cleaned_data.get(f"hours_{n}"))
            for n in range(1, STRETCHES + 1)
        )
        return [Stretch(lv, t) for lv, t in pairs if lv is not None and t is not None]
