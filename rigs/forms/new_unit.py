"""Add a unit with its usual controls in one go."""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import uuid4

from django import forms
from django.http import QueryDict

from rigs.forms.kinds import NOTE_ROWS
from rigs.forms.parts import PartForm
from rigs.forms.settings import check_setting, setting_field
from rigs.gear import Usual, gear_choices, gear_of
from rigs.models import Rig, Unit
from rigs.revisions.edits import Add, Edit
from rigs.settings_of_controls import Style, read_as

NUMBERS = "numbers"
DIALS = [("clock", "as a clock: 2:30"), (NUMBERS, "by their numbers, 0 to 10: 6.5")]


class Offer(NamedTuple):
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
                label=f"It has “{usual.name}”", required=False, initial=True
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
        numbered = enumerate(self.gear.usual)
        return [(n, usual) for n, usual in numbered if self.cleaned_data.get(f"take-{n}")]

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
    def offers(self) -> list[Offer]:
        return [
            Offer(usual, self[f"take-{n}"], self[f"setting-{n}"])
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
