"""A rehearsal day for the ears: time allowed at each level, and the day's dose.

Guidance for planning only; docs/signal.md says what the rules leave out. The functions before the
form are pure.

The form asks for each stretch of the day how loud and how long it is. It is sent by GET, and
nothing is stored.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import number as written
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

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

HOUR = 3600.0
DAY = 24 * HOUR
# How each rule is named, and what it counts.
RULES: tuple[tuple[StrOrPromise, StrOrPromise, Criterion], ...] = (
    ("NIOSH", gettext_lazy("85 dBA for 8 h, 3 dB halve the time, counts from 80 dBA"), NIOSH),
    (
        gettext_lazy("OSHA, limit"),
        gettext_lazy("90 dBA for 8 h, 5 dB halve the time, counts from 90 dBA"),
        OSHA_LIMIT,
    ),
    (
        gettext_lazy("OSHA, hearing conservation"),
        gettext_lazy("the same, counts from 80 dBA"),
        OSHA_CONSERVATION,
    ),
)
ASSUMES = (
    gettext_lazy(
        "A-weighted levels at the ear, steady within a stretch. Impulses, "
        "hearing protection worn or forgotten, and what the rest of the day is "
        "like are left out."
    ),
    gettext_lazy(
        "NIOSH publication 98-126; OSHA 29 CFR 1910.95. Where each starts to "
        "count, and NIOSH’s upper end, are from memory. Directive 2003/10/EC "
        "limits the level normalised to 8 h to 87 dBA at the ear, and asks for "
        "action from 80 and 85 dBA."
    ),
)


def caution() -> Caution:
    return Caution(
        _("Guidance for planning, not a limit to play up to"),
        _(
            "Local law decides, and where rules differ the stricter is the safer. "
            "Nothing here is advice on health: where hearing is at stake, a "
            "qualified person measures at the ear."
        ),
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
    doses = [(str(name), dose(day, rule)) for name, _counts, rule in RULES]
    # Never rounded onto 100 %: a day just over it must not read as allowed.
    percent = {name: number_beside(result.percent, 100, "%", 0) for name, result in doses}
    niosh, osha, _third = percent.values()
    return WhatIfAnswer(
        _("Of the day’s allowance: {niosh} by NIOSH, {osha} by OSHA.").format(
            niosh=niosh, osha=osha
        ),
        (_allowed(day), _doses(percent), _levels(day)),
        problems=(*_too_loud(day), *_used_up(doses, percent), *_of_directive(day)),
        assumes=tuple(str(each) for each in ASSUMES),
        caution=caution(),
    )


def duration(seconds: float) -> str:
    """A time in s as text: “28 s”, “47.6 min”, “2 h 31 min”, “none”, “more than 24 h”."""
    if seconds <= 0:
        return pgettext("time", "none")
    if seconds > DAY:
        return _("more than 24 h")
    # The limits lie where rounding would give “60 s”, “10.0 s” or “60.0 min”.
    if seconds < 59.5:
        return number(seconds, "s", 0 if seconds >= 9.5 else 1)
    if seconds < HOUR - 3:
        return number(seconds / 60, "min")
    minutes = round(seconds / 60)
    return (
        _("{hours} h {minutes} min").format(hours=minutes // 60, minutes=minutes % 60)
        if minutes % 60
        else f"{minutes // 60} h"
    )


def _allowed(day: Sequence[Stretch]) -> Table:
    rows = [
        (number(level, "dBA"), duration(seconds), _time(level, NIOSH), _time(level, OSHA_LIMIT))
        for level, seconds in day
    ]
    columns = (
        pgettext("of sound", "Level"),
        _("Time there"),
        _("Allowed by NIOSH"),
        _("Allowed by OSHA"),
    )
    return Table(
        _("Time allowed in a day at each level, if there were no other"), columns, tuple(rows)
    )


def _time(level: float, rule: Criterion) -> str:
    time = duration(float(allowed_seconds(level, rule)))
    return time if level >= rule.threshold else _("{time} (not counted)").format(time=time)


def _doses(percentages: dict[str, str]) -> Table:
    rows = tuple((str(name), str(counts), percentages[str(name)]) for name, counts, _rule in RULES)
    columns = (_("Rule"), _("What it counts"), _("Dose"))
    return Table(_("Dose of the day; 100 % is the whole allowance"), columns, rows)


def _levels(day: Sequence[Stretch]) -> Table:
    level, seconds = equivalent_level(day), sum(stretch.seconds for stretch in day)
    rows = (
        (_("Over the {time} entered").format(time=duration(seconds)), number(level, "dBA")),
        (_("Normalised to 8 h"), _beside_limit(_as_eight_hours(day))),
    )
    return Table(_("Equal-energy level"), ("", pgettext("of sound", "Level")), rows)


def _as_eight_hours(day: Sequence[Stretch]) -> float:
    seconds = sum(stretch.seconds for stretch in day)
    return float(eight_hour_level(equivalent_level(day), seconds))


def _beside_limit(level: float) -> str:
    return number_beside(level, EXPOSURE_LIMIT, "dBA")


def _used_up(doses: Sequence[tuple[str, Dose]], percentages: dict[str, str]) -> list[str]:
    """The rules by which the day has more than its allowance."""
    return [
        _("{rule}: {dose} of the day’s allowance is more than there is.").format(
            rule=name, dose=percentages[name]
        )
        for name, dose in doses
        if not at_most(dose.percent, 100)
    ]


def _of_directive(day: Sequence[Stretch]) -> list[str]:
    """The highest value of Directive 2003/10/EC that the day is above, or has reached."""
    level = _as_eight_hours(day)
    if not at_most(level, EXPOSURE_LIMIT):
        return [
            _(
                "Normalised to 8 h, {level} is above the exposure limit value of {limit} dBA at "
                "the ear (Directive 2003/10/EC)."
            ).format(level=_beside_limit(level), limit=written(EXPOSURE_LIMIT))
        ]
    for words, value in (
        (
            _(
                "Normalised to 8 h, {level} is at or above the upper exposure action value of "
                "{limit} dBA (Directive 2003/10/EC)."
            ),
            UPPER_ACTION,
        ),
        (
            _(
                "Normalised to 8 h, {level} is at or above the lower exposure action value of "
                "{limit} dBA (Directive 2003/10/EC)."
            ),
            LOWER_ACTION,
        ),
    ):
        if at_least(level, value):
            told = number_beside(level, value, "dBA")
            return [words.format(level=told, limit=written(value))]
    return []


def _too_loud(day: Sequence[Stretch]) -> list[str]:
    return [
        _("{level}: {rule} allows no time at all above {limit}.").format(
            level=number_beside(stretch.level, rule.ceiling, "dBA"),
            rule=name,
            limit=number(rule.ceiling, "dBA", 0),
        )
        for stretch in day
        for name, rule in (("NIOSH", NIOSH), ("OSHA", OSHA_LIMIT))
        if stretch.level > rule.ceiling
    ]


STRETCHES = 6
QUIETEST, LOUDEST = 40, 140  # dBA
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
NOT_HOURS = gettext_lazy("Write hours as 1.5 or 1:30.")
NOTHING = gettext_lazy("Enter at least one level and its time.")
TOO_LONG = gettext_lazy("A day has 24 hours; these make {time}.")


class HoursField(forms.CharField):
    """A time typed as “1.5”, “1,5” or “1:30”; cleans to seconds, or None when left empty."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        clock = _CLOCK.fullmatch(text)
        hours = int(clock[1]) + int(clock[2]) / 60 if clock else _decimal(text)
        if not 0 < hours <= 24:
            raise ValidationError(_("More than 0 and at most 24 hours."))
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
                label=_("level {n}, dBA").format(n=place),
                required=False,
                min_value=QUIETEST,
                max_value=LOUDEST,
                widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
            )
            self.fields[f"hours_{place}"] = HoursField(
                label=_("hours at level {n}").format(n=place),
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
            raise ValidationError(
                TOO_LONG.format(
                    time=_("{hours} h {minutes} min").format(
                        hours=minutes // 60, minutes=minutes % 60
                    )
                )
            )
        return self.cleaned_data

    def _require_both(self, level: str, hours: str) -> None:
        for one, other in ((level, hours), (hours, level)):
            # A field with an error of its own says enough; it is not reported as missing as well.
            lacks = self.cleaned_data.get(one) is None and one not in self.errors
            if lacks and (self.cleaned_data.get(other) is not None or other in self.errors):
                self.add_error(one, _("The level and the time go together."))

    def stretches(self) -> list[Stretch]:
        pairs = (
            (self.cleaned_data.get(f"level_{n}"), self.cleaned_data.get(f"hours_{n}"))
            for n in range(1, STRETCHES + 1)
        )
        return [Stretch(lv, t) for lv, t in pairs if lv is not None and t is not None]
