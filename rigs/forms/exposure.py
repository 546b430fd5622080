"""A rehearsal day, stretch by stretch: how loud, how long. Asked by GET; nothing is kept."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from rigs.whatif.exposure import DAY, HOUR, Stretch

STRETCHES = 6
QUIETEST, LOUDEST = 40, 140  # dBA
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
NOT_HOURS = "Write hours as 1.5 or 1:30."
NOTHING = "Enter at least one level and its time."
TOO_LONG = "A day has 24 hours; these make {}."


class HoursField(forms.CharField):
    """“1.5”, “1,5” or “1:30”; cleans to seconds, or None when left empty."""

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
    """`stretches()` of a valid one are those with a level and a time, in the order typed."""

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
        if total > DAY + 1:
            minutes = round(total / 60)
            raise ValidationError(TOO_LONG.format(f"{minutes // 60} h {minutes % 60} min"))
        return self.cleaned_data

    def _require_both(self, level: str, hours: str) -> None:
        for one, other in ((level, hours), (hours, level)):
            lacks = self.cleaned_data.get(one) is None and one not in self.errors
            if lacks and (self.cleaned_data.get(other) is not None or other in self.errors):
                self.add_error(one, "The level and the time go together.")

    def stretches(self) -> list[Stretch]:
        found = (
            (self.cleaned_data.get(f"level_{n}"), self.cleaned_data.get(f"hours_{n}"))
            for n in range(1, STRETCHES + 1)
        )
        return [Stretch(lv, t) for lv, t in found if lv is not None and t is not None]
