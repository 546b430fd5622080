"""Several units at once, one a line."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from rigs.lists.several import Draft, read_lines
from rigs.models import Rig, Unit

PLACEHOLDER = (
    "Head, valve head, Tarn Fifty, 2:30, 11, 12\n"
    "Fuzz, pedal, , on, Drive 3:00\n"
    "Top, head, , 6.5, 5, 4, 7, 3"
)


class SeveralForm(forms.Form):
    """`drafts` are the units, once it is valid."""

    lines = forms.CharField(
        label="Units, one a line",
        max_length=12_000,
        help_text="Name, kind, maker and model, then its settings in their usual order, dials as a "
        "clock or as numbers. What you do not know stays empty.",
        widget=forms.Textarea(
            {
                "rows": 12,
                "placeholder": PLACEHOLDER,
                "autocomplete": "off",
                "autofocus": True,
                "spellcheck": "false",
            }
        ),
        error_messages={"required": "Write at least one unit."},
    )
    drafts: list[Draft]

    def __init__(self, rig: Rig, *args: Any, **more: Any) -> None:
        self.rig = rig
        super().__init__(*args, **more)

    def clean_lines(self) -> str:
        units = Unit.objects.filter(rig__production=self.rig.production_id)
        makers = units.exclude(maker="").order_by().values_list("maker", flat=True).distinct()
        text: str = self.cleaned_data["lines"]
        try:
            self.drafts = read_lines(text, makers)
        except ValueError as error:
            raise ValidationError(str(error).splitlines()) from None
        there = units.live().filter(rig=self.rig)
        names = {name.casefold() for name in there.values_list("name", flat=True)}
        again = [draft.name for draft in self.drafts if draft.name.casefold() in names]
        if again:
            raise ValidationError([f"“{name}” is in the rig already." for name in again])
        return text
