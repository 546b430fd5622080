"""The forms to add several units at once: the lines, and what was read of them, to be looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.forms.lines import AS_TYPED, lines_field
from rigs.dial_scales import DIALS, STYLES, Reading, Scale, answered
from rigs.editing.dials import DialQuestion, drawn, question_about
from rigs.gear import Usual
from rigs.models import Rig, Unit
from rigs.units.settings_form import setting_field
from rigs.units.several import UnitDraft, read_lines
from rigs.wording import ControlView

# English is read in every language.
PLACEHOLDER = (
    "Head, valve head, Tarn Fifty, 2:30, 11, 12\n"
    "Fuzz, pedal, , on, Drive 3:00\n"
    "Top, head, , 6.5, 5, 4, 7, 3"
)


class SeveralForm(forms.Form):
    """`drafts` are the units, once it is valid."""

    lines = lines_field(
        gettext_lazy("Units, one a line"),
        gettext_lazy(
            "Name, kind, maker and model, then its settings in their usual order, dials as a "
            "clock or as numbers. What you do not know stays empty. You see what was read before "
            "it is saved."
        ),
        PLACEHOLDER,
        gettext_lazy("Write at least one unit."),
        **AS_TYPED,
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
            raise ValidationError(
                [_("“{name}” is in the rig already.").format(name=name) for name in again]
            )
        return text


class TakenSetting(NamedTuple):
    """One setting as it was read; `control` is its drawing, of a dial only."""

    field: forms.BoundField
    control: ControlView | None


class TakenUnit(NamedTuple):
    """A unit as it was read; `dials` is how its dials are read, `question` that this is open."""

    draft: UnitDraft
    settings: list[TakenSetting]
    dials: forms.BoundField | None
    question: DialQuestion | None


class TakenForm(forms.Form):
    """What was read of the lines, each setting to be corrected in place.

    `drafts` are the units as the lines say them, and as they are to be once the form is valid.
    """

    def __init__(self, drafts: Sequence[UnitDraft], data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.drafts = list(drafts)
        for number, draft in enumerate(drafts):
            if draft.dials:
                self.fields[_dials(number)] = _reading_field(draft.reading)
            for place, usual in _written(draft):
                self.fields[_setting(number, place)] = self._setting_field(number, draft, usual)

    def _setting_field(self, number: int, draft: UnitDraft, usual: Usual) -> forms.Field:
        reading = self._reading(number)
        style = STYLES[reading] if reading and usual.style in DIALS else usual.style
        field = setting_field(
            usual.words, style, usual.positions, usual.unit, as_written=reading is None
        )
        field.initial = draft.settings[usual.name]
        return field

    def _reading(self, number: int) -> Reading | None:
        """How the dials of a unit are read by now, also before the form is cleaned."""
        name = _dials(number)
        return answered(self[name].value()) if name in self.fields else None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.drafts = [self._as_typed(n, draft) for n, draft in enumerate(self.drafts)]
        for number, draft in enumerate(self.drafts):
            for place, usual in _written(draft):
                try:
                    draft.tidied(usual)
                except ValueError as error:
                    self.add_error(_setting(number, place), str(error))
        return cleaned

    def _as_typed(self, number: int, draft: UnitDraft) -> UnitDraft:
        typed = {u.name: self.cleaned_data.get(_setting(number, n), "") for n, u in _written(draft)}
        return replace(draft, settings=typed, reading=self._reading(number))

    @property
    def units(self) -> Iterator[TakenUnit]:
        for number, draft in enumerate(self.drafts):
            reading = self._reading(number)
            settings = [
                self._taken(self[_setting(number, place)], usual, reading)
                for place, usual in _written(draft)
            ]
            asked = _dials(number) in self.fields
            texts = {s.control.name: s.field.value() for s in settings if s.control}
            question = question_about(texts) if asked and reading is None else None
            yield TakenUnit(draft, settings, self[_dials(number)] if asked else None, question)

    def _taken(
        self, field: forms.BoundField, usual: Usual, reading: Reading | None
    ) -> TakenSetting:
        if usual.style not in DIALS:
            return TakenSetting(field, None)
        text = field.value() if reading else ""
        scale = Scale(STYLES[reading or Reading.CLOCK])
        return TakenSetting(field, drawn(usual.words, text or "", scale))


def _written(draft: UnitDraft) -> list[tuple[int, Usual]]:
    """The controls of which something is written, with their place among the usual ones."""
    return [(n, usual) for n, usual in enumerate(draft.gear.usual) if usual.name in draft.settings]


def _dials(number: int) -> str:
    return f"unit-{number}-dials"


def _setting(number: int, place: int) -> str:
    return f"unit-{number}-setting-{place}"


def _reading_field(reading: Reading | None) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=_("Its dials are read"),
        choices=[
            (Reading.CLOCK.value, _("as a clock")),
            (Reading.NUMBERS.value, _("by their numbers")),
        ],
        initial=reading.value if reading else None,
        widget=forms.RadioSelect({"data-dials": ""}),
        error_messages={"required": _("Say which is meant for all its dials.")},
    )
