"""Forms of an import: upload a list, say what its columns are, confirm with a reason."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.text import printable
from rigs.changes.reasons import CIRCUMSTANCES, LABELS, Reason, ReasonKind
from rigs.list_import.account import Account, name_of
from rigs.list_import.services import columns_of
from rigs.lists.sheets import MAX_CELL
from rigs.models import ListImport
from rigs.models.shows import WHY

MAX_BYTES = 5 * 1024 * 1024


class ListFileForm(forms.Form):
    """A CSV or XLSX file."""

    file = forms.FileField(
        label=gettext_lazy("Input list"),
        help_text=gettext_lazy(
            "CSV or XLSX, up to 5 MB. Nothing changes before you have seen what it would do."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size and file.size > MAX_BYTES:
            raise forms.ValidationError(_("The file is larger than 5 MB."))
        return file


class MappingForm(forms.Form):
    """Which of our columns each heading of the file is."""

    def __init__(self, list_import: ListImport, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        columns = columns_of(list_import)
        choices = [("", _("not used")), *((column.key, _(column.heading)) for column in columns)]
        for index, heading in enumerate(list_import.headings):
            if heading or any(row[index] for row in list_import.rows if index < len(row)):
                self.fields[f"column_{index}"] = forms.ChoiceField(
                    label=name_of(list_import, index),
                    choices=choices,
                    required=False,
                    initial=list_import.mapping.get(str(index), ""),
                )

    @staticmethod
    def is_sent(data: Mapping[str, Any]) -> bool:
        return any(name.startswith("column_") for name in data)

    def mapping(self) -> dict[str, str]:
        return {name.removeprefix("column_"): key for name, key in self.cleaned_data.items() if key}

    def known(self) -> list[forms.BoundField]:
        """The columns that are used."""
        return [bound for bound in self if bound.initial]

    def unknown(self, account: Account) -> list[tuple[forms.BoundField, str]]:
        """The columns that are not used, each with the first of its cells."""
        return [
            (bound, account.samples(int(bound.name.removeprefix("column_"))))
            for bound in self
            if not bound.initial
        ]


_CELL = re.compile(r"cell-(?P<row>\d{1,6})-(?P<key>\w+)")
_CHOICE = re.compile(
    r"(?P<kind>rig|device)-(?P<key>[0-9a-f]{10})-(?P<what>do|player|instrument|name)"
)


def mended_in(data: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """What was typed for cells that are asked about: row → column → text."""
    mended: dict[str, dict[str, str]] = {}
    for name, text in data.items():
        if match := _CELL.fullmatch(name):
            words = printable(str(text)).strip()[:MAX_CELL]
            mended.setdefault(match["row"], {})[match["key"]] = words
    return mended


def choices_in(data: Mapping[str, Any]) -> dict[str, dict[str, dict[str, str]]]:
    """What was chosen for the rigs and devices that a list makes."""
    chosen: dict[str, dict[str, dict[str, str]]] = {}
    for name, text in data.items():
        if match := _CHOICE.fullmatch(name):
            kind = chosen.setdefault(f"{match['kind']}s", {})
            kind.setdefault(match["key"], {})[match["what"]] = printable(str(text)).strip()[:120]
    return chosen


class ReasonForm(forms.Form):
    """Why the rigs change as this list says; the reason of all changes that the import makes."""

    reason_kind = forms.ChoiceField(
        label=gettext_lazy("Why"),
        choices=[(str(kind), gettext_lazy(LABELS[kind])) for kind in CIRCUMSTANCES],
        initial=str(ReasonKind.CORRECTION),
    )
    reason_words = forms.CharField(
        label=gettext_lazy("In a few words"),
        max_length=500,
        help_text=gettext_lazy("Rider of 4 November, hired backline …"),
    )

    def reason(self) -> Reason:
        kind = ReasonKind(self.cleaned_data["reason_kind"])
        return Reason(kind, self.cleaned_data["reason_words"])


class NoReasonForm(forms.Form):
    """What is documented for the first time needs no reason."""


class DayReasonForm(forms.Form):
    """Why the inputs of a show differ as this list says."""

    why = forms.ChoiceField(
        label=gettext_lazy("Why"), choices=[("", gettext_lazy("choose …")), *WHY]
    )
    words = forms.CharField(
        label=gettext_lazy("In a few words"),
        max_length=500,
        help_text=gettext_lazy("The house’s patch list, a festival’s microphones …"),
    )
