"""The form that gives the inputs of the list new channel numbers."""

from __future__ import annotations

from django import forms
from django.http import QueryDict

from rigs.lists.renumbering import NumbersClash, arranged
from rigs.models import Input, Rig

_NUMBER, _BASE = "number_", "base_"


class RenumberForm(forms.Form):
    """A channel number for each input of the list, in the order they were sent; empty for none."""

    def __init__(self, inputs: list[Input], data: QueryDict | None = None) -> None:
        super().__init__(data)
        sent = [name.removeprefix(_NUMBER) for name in data or () if name.startswith(_NUMBER)]
        self.inputs = arranged(inputs, sent)
        for entry in self.inputs:
            self.fields[f"{_NUMBER}{entry.pk}"] = forms.IntegerField(
                label=f"Channel of {entry.name}, {entry.rig.player}",
                required=False,
                min_value=1,
                max_value=9999,
                initial=entry.number,
            )
        self.bases = {entry.rig_id: self._base(entry.rig) for entry in inputs}

    def _base(self, rig: Rig) -> int:
        """The change that the rig was at when the page was opened."""
        sent = str(self.data.get(f"{_BASE}{rig.pk}", ""))
        known = sent.isascii() and sent.isdecimal() and len(sent) < 10
        return int(sent) if known and int(sent) <= rig.head_number else rig.head_number

    @property
    def hidden(self) -> list[tuple[str, int]]:
        return [(f"{_BASE}{rig}", base) for rig, base in self.bases.items()]

    @property
    def rows(self) -> list[tuple[Input, forms.BoundField]]:
        return [(entry, self[f"{_NUMBER}{entry.pk}"]) for entry in self.inputs]

    def numbers(self) -> dict[str, int | None]:
        """What was sent; an input that came after the page was opened keeps its number."""
        return {
            name.removeprefix(_NUMBER): number
            for name, number in self.cleaned_data.items()
            if name in self.data
        }

    def show_clash(self, clash: NumbersClash) -> None:
        """Say what is there now. Whoever sends the form again has seen it."""
        self.add_error(None, str(clash))
        for each in clash.clashes:
            name = f"{_NUMBER}{each.part}"
            if name in self.fields:
                there = "retired" if isinstance(each.now, dict) else each.now or "none"
                self.add_error(name, f"Now there: {there}. Save again to keep yours.")
        self.bases = {entry.rig_id: entry.rig.head_number for entry in self.inputs}
