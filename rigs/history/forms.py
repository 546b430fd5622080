"""Forms of the history: what to show of it, which two states to compare, why to go back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.changes.reasons import LABELS, ReasonKind
from rigs.editing.reasons import ReasonFields
from rigs.editing.swaps import AsksAboutSwaps
from rigs.history.listing import authors
from rigs.models import Input, Rig, Unit
from rigs.swaps import Swap

_KINDS = [
    ("", gettext_lazy("any reason")),
    *((str(kind), gettext_lazy(LABELS[kind])) for kind in ReasonKind),
]


class HistoryFilter(forms.Form):
    """Narrows the history. All fields may be left empty; `part` offers retired parts, too."""

    part = forms.ChoiceField(label=gettext_lazy("unit or input"), required=False)
    author = forms.ChoiceField(label=pgettext_lazy("who changed it", "by"), required=False)
    kind = forms.ChoiceField(label=gettext_lazy("because of"), required=False, choices=_KINDS)

    def __init__(self, data: Any, *, rig: Rig) -> None:
        super().__init__(data, auto_id="filter_%s")
        self.fields["part"].choices = _part_choices(rig)  # type: ignore[attr-defined]
        names = [(name, name) for name in authors(rig)]
        self.fields["author"].choices = [("", _("anybody")), *names]  # type: ignore[attr-defined]

    def chosen(self) -> dict[str, Any]:
        """Arguments for history_list.filtered; what is not a choice is left out."""
        self.is_valid()
        part = self.cleaned_data.get("part")
        return {
            "part": UUID(part) if part else None,
            "author": self.cleaned_data.get("author", ""),
            "kind": self.cleaned_data.get("kind", ""),
        }


def _retired(part: Any) -> str:
    return _("{part}, retired").format(part=part)


def _part_choices(rig: Rig) -> list[Any]:
    def options(model: Any) -> list[tuple[str, str]]:
        rows = model.objects.filter(rig=rig).order_by("retired", "position")
        return [(str(row.pk), _retired(row) if row.retired else str(row)) for row in rows]

    groups = [(_("Inputs"), options(Input)), (_("Units"), options(Unit))]
    whole = (str(rig.pk), _("the rig as a whole"))
    return [("", _("everything")), whole, *(group for group in groups if group[1])]


class CompareRevisionsForm(forms.Form):
    a = forms.IntegerField(label=gettext_lazy("from change"), min_value=1)
    b = forms.IntegerField(label=gettext_lazy("to change"), min_value=1)

    def __init__(self, data: Any, *, rig: Rig) -> None:
        super().__init__(data, auto_id="compare_%s")
        self.newest = rig.head_number
        for field in self.fields.values():
            field.widget.attrs["max"] = self.newest
            field.error_messages["invalid"] = _("Write the number of a change.")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name in ("a", "b"):
            if cleaned.get(name, 0) > self.newest:
                self.add_error(
                    name, _("There is no change {number} yet.").format(number=cleaned[name])
                )
        return cleaned


class RestoreForm(ReasonFields, AsksAboutSwaps):
    """Why an earlier state is brought back, which state was looked at, and what is decided on
    inputs that get another device by it: `swaps`."""

    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, swaps: Sequence[Swap] = (), **more: Any) -> None:
        super().__init__(*args, **more)
        self.add_swaps(swaps)
        self.add_reason_fields()

    def show_again_from(self, newest: int, message: str) -> None:
        """Keep what was typed, refuse once, and count the state shown below as looked at."""
        # The page below shows the newest state by now; the next press confirms that one.
        self.data = {**self.data.dict(), "seen": str(newest)}  # type: ignore[attr-defined]
        self.add_error(None, message)
