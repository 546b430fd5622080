"""Forms of an import: upload a list, say what its columns are, confirm with a reason."""

from __future__ import annotations

from typing import Any

from django import forms

from rigs.changes.reasons import CIRCUMSTANCES, LABELS, Reason, ReasonKind
from rigs.list_import.services import columns_of
from rigs.models import ListImport
from rigs.models.shows import WHY

MAX_BYTES = 5 * 1024 * 1024


class ListFileForm(forms.Form):
    """A CSV or XLSX file."""

    file = forms.FileField(
        label="Input list",
        help_text="CSV or XLSX, up to 5 MB. Nothing changes before you have seen every row.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size and file.size > MAX_BYTES:
            raise forms.ValidationError("The file is larger than 5 MB.")
        return file


class MappingForm(forms.Form):
    """Which of our columns each heading of the file is."""

    def __init__(self, list_import: ListImport, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        columns = columns_of(list_import)
        choices = [("", "leave out"), *((column.key, column.heading) for column in columns)]
        for index, heading in enumerate(list_import.headings):
            if heading:
                self.fields[f"column_{index}"] = forms.ChoiceField(
                    label=heading,
                    choices=choices,
                    required=False,
                    initial=list_import.mapping.get(str(index), ""),
                )

    def mapping(self) -> dict[str, str]:
        return {name.removeprefix("column_"): key for name, key in self.cleaned_data.items() if key}


class ReasonForm(forms.Form):
    """Why the rigs change as this list says; the reason of all changes that the import makes."""

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
    """Why the inputs of a show differ as this list says."""

    why = forms.ChoiceField(label="Why", choices=[("", "choose …"), *WHY])
    words = forms.CharField(
        label="In a few words",
        max_length=500,
        help_text="The house’s patch list, a festival’s microphones …",
    )
