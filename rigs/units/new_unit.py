"""Add a unit together with the usual controls of its kind."""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import uuid4

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from rigs.changes.edits import Add, Edit
from rigs.dial_scales import DIALS, Reading, read_as
from rigs.editing.dials import AsksReading, reading_field
from rigs.editing.kinds import NOTE_ROWS
from rigs.editing.part_forms import PartForm
from rigs.gear import Usual, gear_choices, gear_of
from rigs.models import Rig, Unit
from rigs.settings_of_controls import Style
from rigs.units.settings_form import check_setting, setting_field


class OfferedControl(NamedTuple):
    """A usual control: the field that says whether the unit has it, and that of its setting."""

    usual: Usual
    take: forms.BoundField
    setting: forms.BoundField


class NewUnitForm(AsksReading, PartForm):
    """A new unit with its usual controls.

    `gear` is a key of GEAR; once the form is sent, the kind that it names counts instead.
    """

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
        if any(usual.style in DIALS for usual in self.gear.usual):
            self.fields["dials"] = reading_field()
        reading = self.said_reading()
        for number, usual in enumerate(self.gear.usual):
            self.fields[f"take-{number}"] = forms.BooleanField(
                label=_("It has “{control}”").format(control=usual.words),
                required=False,
                initial=usual.taken,
            )
            self.fields[f"setting-{number}"] = setting_field(
                usual.words,
                read_as(usual.style, reading) if reading else usual.style,
                usual.positions,
                usual.unit,
                as_written=reading is None and not self.gear.numbered,
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        taken = self._taken()
        dials = {u.words: cleaned.get(f"setting-{n}", "") for n, u in taken if u.style in DIALS}
        self.reading = self.decide(dials, numbered=self.gear.numbered) if dials else Reading.CLOCK
        if not self.question:
            for number, usual in taken:
                stand = _Stand(read_as(usual.style, self.reading), usual.positions)
                check_setting(self, f"setting-{number}", stand)
        return cleaned

    def _taken(self) -> list[tuple[int, Usual]]:
        """Usual controls that are ticked, and those without a tick that have a setting typed."""
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
                "name": usual.words,
                "style": read_as(usual.style, self.reading).value,
                "position": position,
                "choices": usual.positions,
                "symbol": usual.unit,
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
        return [field for field in super().open_fields if field.name not in offered]


_OFFERED = ("take", "setting")


class _Stand(NamedTuple):
    """A usual control as check_setting asks for it."""

    style: Style
    choices: str
