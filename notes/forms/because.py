"""The forms that change an input or a control because of what was heard."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from notes.forms.fields import NotesChoice
from notes.models import Note
from notes.reading import for_cards
from notes.states import with_state
from rigs.forms.kinds import ControlForm, InputForm
from rigs.forms.parts import PartForm
from rigs.models import Rig, Tracked
from rigs.revisions.reasons import Reason, ReasonKind


class BecauseForm(PartForm):
    """A part's form whose reason are notes: the one it starts from, and whichever are ticked."""

    REASON_FIELDS = ("because", "reason_words")

    def __init__(
        self, rig: Rig, part: Tracked, data: QueryDict | None = None, *, note: Note, **options: Any
    ) -> None:
        self.note = note
        super().__init__(rig, part, data, **{**options, "ask_reason": True})
        self.options["note"] = note

    def add_reason_fields(self) -> None:
        self.fields["because"] = NotesChoice(
            queryset=_may_be_reasons(self.rig, self.note),
            label="because of",
            help_text="Tick what else this answers.",
            error_messages={"required": "Tick the note that is the reason."},
        )
        self.initial["because"] = [self.note.pk]
        self.fields["reason_words"] = forms.CharField(
            label="why this change", required=False, max_length=2000,
            widget=forms.Textarea(attrs={"rows": 2}),
            help_text="What you expect of it, if the notes do not say so.",
        )  # fmt: skip

    @property
    def asks_reason(self) -> bool:
        return True

    def reason(self) -> Reason:
        ids = tuple(note.pk for note in self.cleaned_data["because"])
        return Reason(ReasonKind.NOTES, self.cleaned_data["reason_words"].strip(), ids)

    def reason_field(self) -> str:
        return "because"


class BecauseInputForm(BecauseForm, InputForm):  # type: ignore[misc]
    pass


class BecauseControlForm(BecauseForm, ControlForm):  # type: ignore[misc]
    pass


def _may_be_reasons(rig: Rig, note: Note) -> Any:
    """The note itself, whatever became of it, and all of the rig that still wait."""
    found = with_state(Note.objects.filter(rig=rig))
    waiting = found.exclude(state="settled") | found.filter(pk=note.pk)  # type: ignore[misc]
    return for_cards(waiting)
