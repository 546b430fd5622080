"""The forms to change the scale of a whole unit: which scale, and what stays."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Self

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number
from rigs.changes.edits import Edit
from rigs.dial_scales import STYLES, Keep, Reading, Scale
from rigs.editing.guarded import GuardedForm, Key
from rigs.models import Control, Unit
from rigs.revisions.read import as_of, live
from rigs.revisions.record import Conflict
from rigs.settings_of_controls import Style, ends_of
from rigs.units.scale import ScaleRow, dials_of, edits_of, rows_of, setting_of

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


BACKWARDS = gettext_lazy("The dial must end at a higher number than it starts at.")


def _end(label: StrOrPromise) -> forms.DecimalField:
    """Where the numbers of a dial start or end, as the model keeps it."""
    widget = forms.TextInput({"inputmode": "decimal", "autocomplete": "off"})
    return forms.DecimalField(
        label=label, max_digits=8, decimal_places=3, required=False, widget=widget
    )


class ScaleOptions(forms.Form):
    """The scale that all dials of a unit get; the one that they do not have, unless chosen."""

    to = forms.ChoiceField(
        label=gettext_lazy("Read its dials"),
        choices=[
            (Reading.CLOCK.value, gettext_lazy("as a clock")),
            (Reading.NUMBERS.value, gettext_lazy("by their numbers")),
        ],
    )
    low = _end(gettext_lazy("numbers start at"))
    high = _end(gettext_lazy("numbers end at"))

    def __init__(self, dials: Sequence[Control], said: QueryDict) -> None:
        numbered = any(dial.style == Style.DIAL for dial in dials)
        other = Reading.CLOCK if numbered else Reading.NUMBERS
        known = {"to": other.value, "low": "0", "high": "10"}
        super().__init__({name: said.get(name) or value for name, value in known.items()})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        low, high = cleaned.get("low"), cleaned.get("high")
        if low is not None and high is not None and low >= high:
            self.add_error("high", BACKWARDS)
        return cleaned

    @property
    def scale(self) -> Scale:
        """The one chosen, of a valid form."""
        if self.cleaned_data["to"] == Reading.CLOCK:
            return Scale(Style.CLOCK)
        return Scale(STYLES[Reading.NUMBERS], self.cleaned_data["low"], self.cleaned_data["high"])


class ScaleForm(GuardedForm):
    """Every dial of `unit` on the scale `new`; which of the two stays is the button pressed.

    Where a setting cannot stay on the new scale, a field asks for it.
    """

    kind = "control"

    def __init__(self, unit: Unit, new: Scale, data: QueryDict | None = None) -> None:
        super().__init__(data)
        self.set_up(unit.rig)
        self.unit, self.new = unit, new
        self.rows: list[ScaleRow] = rows_of(dials_of(unit), new)
        self.fields["keep"] = forms.ChoiceField(
            choices=[(keep.value, keep.value) for keep in Keep],
            error_messages={"required": _("Choose what stays: the pointers or the figures.")},
        )
        # Which dials the page showed: one that was added since must not get a scale unseen.
        self.fields["seen"] = forms.CharField(required=False, widget=forms.HiddenInput)
        self.initial["seen"] = self._parts()
        for row in self.rows:
            if row.is_doubtful:
                self.fields[f"at-{row.part}"] = forms.CharField(
                    label=_("{control}, on the new scale").format(control=row.label),
                    required=False,
                    max_length=120,
                )

    def _parts(self) -> str:
        return " ".join(row.part for row in self.rows)

    def key(self, name: str) -> Key | None:  # noqa: ARG002 - nothing here is decided on by field
        return None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "keep" in cleaned:
            self.settings = {row.part: self._setting(row, cleaned) for row in self.rows}
        return cleaned

    def _setting(self, row: ScaleRow, cleaned: dict[str, Any]) -> str:
        name = f"at-{row.part}"
        typed: str = cleaned.get(name, "")
        try:
            return setting_of(row, self.new, Keep(cleaned["keep"]), typed)
        except ValueError as error:
            self.add_error(name, str(error))
        return typed

    def edits(self) -> list[Edit]:
        return edits_of(self.rows, self.new, self.settings)

    def again(self, conflict: Conflict) -> Self:
        self.unit.rig = conflict.rig
        return self._anew()

    def up_to_date(self) -> Self:
        """The form itself, or a new one where somebody changed meanwhile what it shows."""
        return self._anew() if self.is_bound and self._is_stale() else self

    def _is_stale(self) -> bool:
        if self.data.get("seen") != self._parts():
            return True
        if self.base == self.rig.head_number:
            return False
        then, now = as_of(self.rig, self.base), live(self.rig)
        return any(then.get(row.part) != now.get(row.part) for row in self.rows)

    def _anew(self) -> Self:
        form = type(self)(self.unit, self.new)
        form.conflicted = True
        form.retain_typed(self, [name for name in self.fields if name.startswith("at-")])
        return form

    @property
    def shown_rows(self) -> list[tuple[ScaleRow, forms.BoundField | None]]:
        return [(row, self[f"at-{row.part}"] if row.is_doubtful else None) for row in self.rows]

    @property
    def new_words(self) -> str:
        """“Read as a clock”, “Read by the numbers 0 to 10”."""
        if self.new.style == Style.CLOCK:
            return _("Read as a clock")
        low, high = ends_of(self.new.low, self.new.high)
        return _("Read by the numbers {low} to {high}").format(low=number(low), high=number(high))
