"""Add a unit with its usual controls in one go.

Several units at once, one a line.
"""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from rigs.changes.edits import Add, Edit
from rigs.editing.kinds import NOTE_ROWS
from rigs.editing.part_forms import PartForm
from rigs.gear import Usual, gear_choices, gear_of
from rigs.models import Rig, Unit
from rigs.settings_of_controls import Style, read_as
from rigs.units.settings_form import check_setting, setting_field
from rigs.units.several import UnitDraft, read_lines

NUMBERS = "numbers"
DIALS = [("clock", "as a clock: 2:30"), (NUMBERS, "by their numbers, 0 to 10: 6.5")]


class OfferedControl(NamedTuple):
    """A usual control: whether to take it, and how it stands."""

    usual: Usual
    take: forms.BoundField
    setting: forms.BoundField


class NewUnitForm(PartForm):
    """`gear` is a key of GEAR; where the form was sent, what it says counts."""

    class Meta:
        model = Unit
        fields = ("gear", "name", "maker", "model", "serial", "tuning", "notes")
        widgets = {"gear": forms.HiddenInput, **NOTE_ROWS}

    def __init__(
        self,
        rig: Rig,
        unit: Unit,
        data: QueryDict | None = None,
        *,
        gear: str = "other",
        **more: Any,
    ) -> None:
        super().__init__(rig, unit, data, **more)
        chosen = data.get("gear", gear) if data is not None else gear
        self.gear = gear_of(chosen)
        self.initial["gear"] = self.gear.key
        self.fields["gear"].choices = gear_choices()  # type: ignore[attr-defined]
        if any(usual.style == Style.CLOCK for usual in self.gear.usual):
            self.fields["dials"] = forms.ChoiceField(
                label="Its dials are read",
                choices=DIALS,
                required=False,
                initial="clock",
                widget=forms.Select({"data-dials": "", "data-passed-over": ""}),
            )
        numbered = data is not None and data.get("dials") == NUMBERS
        self.styles = [read_as(usual.style, numbered=numbered) for usual in self.gear.usual]
        for number, usual in enumerate(self.gear.usual):
            self.fields[f"take-{number}"] = forms.BooleanField(
                label=f"It has “{usual.name}”", required=False, initial=usual.taken
            )
            self.fields[f"setting-{number}"] = setting_field(
                usual.name, self.styles[number], usual.choices, usual.symbol
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for number, usual in self._taken():
            check_setting(self, f"setting-{number}", _Stand(self.styles[number], usual.choices))
        return cleaned

    def _taken(self) -> list[tuple[int, Usual]]:
        """Those that are ticked; and of those offered without a tick, what has a setting typed."""
        return [(n, usual) for n, usual in enumerate(self.gear.usual) if self._is_taken(n, usual)]

    def _is_taken(self, number: int, usual: Usual) -> bool:
        typed = not usual.taken and self.cleaned_data.get(f"setting-{number}")
        return bool(typed or self.cleaned_data.get(f"take-{number}"))

    def edits(self) -> list[Edit]:
        unit = str(self.instance.pk)
        taken = enumerate(self._taken(), start=1)
        return [*super().edits(), *(self._control(unit, at, n, usual) for at, (n, usual) in taken)]

    def _control(self, unit: str, position: int, number: int, usual: Usual) -> Add:
        return Add(
            str(uuid4()),
            "control",
            {
                "unit": unit,
                "name": usual.name,
                "style": self.styles[number].value,
                "position": position,
                "choices": usual.choices,
                "symbol": usual.symbol,
                "setting": self.cleaned_data[f"setting-{number}"],
            },
        )

    @property
    def offers(self) -> list[OfferedControl]:
        return [
            OfferedControl(usual, self[f"take-{n}"], self[f"setting-{n}"])
            for n, usual in enumerate(self.gear.usual)
        ]

    @property
    def more_is_open(self) -> bool:
        """Whether something below “More about it” was typed, or is wrong."""
        names = [bound.name for bound in self.open_fields if bound.name not in ("name", "gear")]
        return self.is_bound and any(self.data.get(name) or name in self.errors for name in names)

    @property
    def open_fields(self) -> list[forms.BoundField]:
        offered = {f"{kind}-{n}" for n in range(len(self.gear.usual)) for kind in _OFFERED}
        offered.add("dials")
        return [field for field in super().open_fields if field.name not in offered]


_OFFERED = ("take", "setting")


class _Stand(NamedTuple):
    """A usual control as check_setting asks for it."""

    style: Style
    choices: str


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
    drafts: list[UnitDraft]

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
