"""Forms of the input list: bring one, say what its columns are, confirm with a reason."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from rigs.lists.importing import columns_of
from rigs.lists.renumbering import NumbersClash, arranged
from rigs.models import Input, ListImport, Rig
from rigs.models.shows import WHY
from rigs.revisions.reasons import CIRCUMSTANCES, LABELS, Reason, ReasonKind

MAX_BYTES = 5 * 1024 * 1024


class BringForm(forms.Form):
    """A CSV or XLSX file."""

    file = forms.FileField(
        label="Input list",
        help_text="CSV or XLSX, up to 5 MB. Nothing changes before you have seen every row.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_file(self) -> Any:
        found = self.cleaned_data["file"]
        if found.size and found.size > MAX_BYTES:
            raise forms.ValidationError("The file is larger than 5 MB.")
        return found


class MappingForm(forms.Form):
    """Which of our columns each heading of the file is."""

    def __init__(self, brought: ListImport, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        columns = columns_of(brought)
        choices = [("", "leave out"), *((column.key, column.heading) for column in columns)]
        for index, heading in enumerate(brought.headings):
            if heading:
                self.fields[f"column_{index}"] = forms.ChoiceField(
                    label=heading,
                    choices=choices,
                    required=False,
                    initial=brought.mapping.get(str(index), ""),
                )

    def mapping(self) -> dict[str, str]:
        return {name.removeprefix("column_"): key for name, key in self.cleaned_data.items() if key}


class ReasonForm(forms.Form):
    """What happened that this list is the answer to."""

    reason_kind = forms.ChoiceField(
        label="Why",
        choices=[(str(kind), LABELS[kind]) for kind in CIRCUMSTANCES],
        initial=str(ReasonKind.CORRECTION),
    )
    reason_words = forms.CharField(
        label="In a few words", max_length=500, help_text="Rider of 4 November, hired backline …"
    )

    def reason(self) -> Reason:
        kind = ReasonKind(self.cleaned_data["reason_kind"])
        return Reason(kind, self.cleaned_data["reason_words"])


class DayReasonForm(forms.Form):
    """What happened at a show that its list is the answer to."""

    why = forms.ChoiceField(label="Why", choices=[("", "choose …"), *WHY])
    words = forms.CharField(
        label="In a few words",
        max_length=500,
        help_text="The house’s patch list, a festival’s microphones …",
    )


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


_NUMBER, _BASE = "number_", "base_"
