"""The forms that change an input or a control because of what was heard."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from core.models import User
from core.units import plain
from notes.comparing.evidence import tie_to_change, to_choose_from
from notes.comparing.forms import ClipChoice
from notes.form_fields import NotesChoice
from notes.models import ChangeClip, Note
from notes.queries import for_cards
from notes.states import with_state
from rigs.changes.reasons import Reason, ReasonKind
from rigs.editing.kinds import ControlForm, InputForm
from rigs.editing.part_forms import PartForm
from rigs.fields import FieldRole, rows_of
from rigs.models import Control, Revision, Rig, Tracked


class BecauseForm(PartForm):
    """A part's form whose reason are notes: the one it starts from, and whichever are ticked."""

    REASON_FIELDS = ("because", "reason_words", "heard_before", "heard_after")

    def __init__(
        self, rig: Rig, part: Tracked, data: QueryDict | None = None, *, note: Note, **options: Any
    ) -> None:
        # Before the base class is set up, which asks for the fields of the reason.
        self.note = note
        super().__init__(rig, part, data, **{**options, "ask_reason": True})
        self.options["note"] = note

    def add_reason_fields(self) -> None:
        self.fields["because"] = NotesChoice(
            queryset=_may_be_reasons(self.rig, self.note),
            label=_("because of"),
            help_text=_("Tick what else this answers."),
            error_messages={"required": _("Tick the note that is the reason.")},
        )
        self.initial["because"] = [self.note.pk]
        self.fields["reason_words"] = forms.CharField(
            label=_("why this change"),
            required=False,
            max_length=2000,
            widget=forms.Textarea(attrs={"rows": 2}),
            help_text=_("What you expect of it, if the notes do not say so."),
        )
        clips = to_choose_from(self.rig)
        if clips.exists():
            for side, label in (("before", _("a clip of before")), ("after", _("a clip of after"))):
                self.fields[f"heard_{side}"] = ClipChoice(
                    queryset=clips, required=False, label=label
                )
            self.fields["heard_after"].help_text = _("Both can be added later on.")

    @property
    def asks_reason(self) -> bool:
        # True even where the change alone would need no reason: the note that it began with is one.
        return True

    def reason(self) -> Reason:
        ids = tuple(note.pk for note in self.cleaned_data["because"])
        return Reason(ReasonKind.NOTES, self.cleaned_data["reason_words"].strip(), ids)

    def reason_field(self) -> str:
        return "because"

    def tie_clips(self, revision: Revision, by: User) -> None:
        """The chosen clips, to the change that was made. Raises ValidationError."""
        for side in ChangeClip.When.values:
            clip = self.cleaned_data.get(f"heard_{side}")
            if clip is not None:
                tie_to_change(revision=revision, clip=clip, side=side, by=by)


def _words_of(kind: str) -> frozenset[str]:
    """The fields of words, which change no sound: names, notes, where something is."""
    return frozenset(row.name for row in rows_of(kind) if row.role is FieldRole.WORDS)


class BecauseInputForm(BecauseForm, InputForm):
    """What is heard of an input: its device, its place, its part of the mix."""

    class Meta(InputForm.Meta):
        fields = tuple(name for name in InputForm.Meta.fields if name not in _words_of("input"))


class BecauseControlForm(BecauseForm, ControlForm):
    """The setting alone: what a control offers is not changed because of what was heard."""

    class Meta(ControlForm.Meta):
        fields = ("setting",)  # type: ignore[assignment]

    def limit_choices(self) -> None:
        super().limit_choices()
        control = cast("Control", self.row)
        if control.choices:
            self.fields["setting"].help_text = _("One of: {choices}.").format(
                choices=control.choices
            )
        elif control.low is not None and control.high is not None:
            ends = f"{plain(control.low)} to {plain(control.high)} {control.symbol}".strip()
            self.fields["setting"].help_text = _("From {ends}.").format(ends=ends)


def _may_be_reasons(rig: Rig, note: Note) -> Any:
    """The note itself, whatever became of it, and all notes of the rig that are not settled."""
    notes = with_state(Note.objects.filter(rig=rig))
    waiting = notes.exclude(state="settled") | notes.filter(pk=note.pk)  # type: ignore[misc]
    return for_cards(waiting)
