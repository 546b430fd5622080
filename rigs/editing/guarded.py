"""What every form that changes a rig has in common: it knows which state it was opened on, and
when somebody else changed the same thing meanwhile it comes back with both values.

A form that comes back carries, for each field at stake, `asked-<field>` (the state the question
arose on) and `choice-<field>` ("typed" or "now"). Fields not at stake are filled with what was
typed where something was typed, and with what others made of them elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple, Self

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy

from core.languages.words import each_of, leading
from core.numbers import whole_number
from rigs.changes.edits import WHOLE, Clash, Edit
from rigs.editing.conflicts import ContestedField, in_words, panels_of
from rigs.editing.reasons import ReasonFields
from rigs.fields import length_with_unit
from rigs.models import Rig
from rigs.revisions.record import Conflict
from rigs.revisions.swaps import SwapUndecided
from rigs.wording.fields import label

STALE = gettext_lazy("This page is out of step with the rig. Reopen it, then make the change.")
UNDECIDED = gettext_lazy("Choose which of the two stays.")


class Key(NamedTuple):
    """What a form field stands for in the history: fields of one part."""

    part: str
    columns: tuple[str, ...]


class GuardedForm(ReasonFields, forms.Form):
    """Base of the forms that change a rig. `rig` is as the page found it; nothing here writes."""

    def set_up(self, rig: Rig) -> None:
        self.rig = rig
        self.asked: dict[str, int] = {}  # field at stake → the state the question arose on
        self.now_texts: dict[str, str] = {}
        self.retains_typed: dict[str, Any] = {}
        self.conflicted = False
        self.fields["base"] = forms.IntegerField(
            widget=forms.HiddenInput, error_messages={"required": STALE, "invalid": STALE}
        )
        self.initial["base"] = rig.head_number
        self.base = self._typed_base()

    kind = "rig"  # of the part that unplaceable errors are about
    together: tuple[tuple[str, ...], ...] = ()  # fields that are decided on as one

    def edits(self) -> list[Edit]:
        """What the gateway is to do. Call on a valid form."""
        raise NotImplementedError

    def prepare(self) -> None:
        """Save what the edits will point at and is no part. Called in their transaction."""

    def key(self, name: str) -> Key | None:
        """What the form field `name` stands for; None for fields that are no part's."""
        raise NotImplementedError

    def again(self, conflict: Conflict) -> Self:
        """The same form on the rig as it is now, with what was typed."""
        raise NotImplementedError

    def now_text(self, name: str) -> str:
        """What is there now, for a panel."""
        return in_words(self.fields[name], self.get_initial_for_field(self.fields[name], name))

    def _typed_base(self) -> int:
        """The state the form was opened on; the newest where the form does not say rightly."""
        try:
            base = int(self.data.get(self.add_prefix("base"), "")) if self.is_bound else -1
        except (TypeError, ValueError):
            base = -1
        # A made-up base must not hide a conflict; clean_base refuses what is replaced here.
        return base if 0 <= base <= self.rig.head_number else self.rig.head_number

    def clean_base(self) -> int:
        base = int(self.cleaned_data["base"])
        if base != self.base:
            raise ValidationError(STALE)
        return base

    def read_choices(self) -> None:
        """Call at the end of __init__: which fields were asked about, on which state."""
        for name in self.fields:
            since = whole_number(self.data.get(self.add_prefix(f"asked-{name}")))
            if since is not None and self.key(name):
                self.asked |= dict.fromkeys(self.mates(name), since)

    def mates(self, name: str) -> tuple[str, ...]:
        """`name` with the fields that go together with it; the first speaks for them."""
        return next((group for group in self.together if name in group), (name,))

    def choice(self, name: str) -> str:
        chosen = self.data.get(self.add_prefix(f"choice-{self.mates(name)[0]}"), "")
        return chosen if chosen in ("typed", "now") else ""

    def require_choices(self) -> None:
        """Call in clean()."""
        for name in self.asked:
            if not self.choice(name) and name == self.mates(name)[0]:
                self.add_error(name, UNDECIDED)

    def raw(self, name: str) -> Any:
        widget = self.fields[name].widget
        return widget.value_from_datadict(self.data, self.files, self.add_prefix(name))

    def typed(self) -> list[str]:
        """The fields of parts that somebody changed here and wants to keep so."""
        return [
            name
            for name in self.changed_data
            if self.key(name) and not (name in self.asked and self.choice(name) == "now")
        ]

    def retain_typed(self, older: GuardedForm, names: Iterable[str]) -> None:
        """Take over what was typed into `older`, with the reason."""
        for name in (*names, *self.REASON_FIELDS):
            if name in self.fields and name in older.fields:
                self.initial[name] = self.retains_typed[name] = older.raw(name)

    def fields_of(self, clash: Clash) -> list[str]:
        """The form fields that a clash is about, with those that go together with them."""
        names = [
            name
            for name in self.fields
            if (key := self.key(name))
            and key.part == clash.part
            and (clash.field in key.columns or clash.field == WHOLE)
        ]
        return list(dict.fromkeys(mate for name in names for mate in self.mates(name)))

    def place(self, error: ValidationError) -> None:
        """Put what the gateway refused at the field where it happened."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for column, messages in error.message_dict.items():
            self.add_error(*self._at_field(column, messages))

    def ask(self, undecided: SwapUndecided) -> None:
        """Show which settings of the old device are undecided after it was swapped.

        A form that offers devices asks at its fields instead (rigs.editing.swaps).
        """
        self.add_error(None, undecided)

    def _at_field(self, column: str, messages: list[str]) -> tuple[str | None, list[str]]:
        length = length_with_unit(self.kind, column)
        name = length.name if length else column
        if name in self.fields:
            return name, messages
        return None, [leading(label(self.kind, name), message) for message in messages]

    @cached_property
    def panels(self) -> list[ContestedField]:
        """What is to be decided. One query."""
        return panels_of(self)

    def panel_label(self, name: str) -> str:
        return capfirst(str(self[name].label))

    def in_one_line(self, texts: list[str]) -> str:
        """The values of fields that go together, in their order."""
        return each_of(texts)

    def still_typed(self, name: str) -> Any:
        """What was typed, here or into the form before this one."""
        return self.retains_typed[name] if name in self.retains_typed else self.raw(name)

    def typed_text(self, name: str) -> str:
        """What was typed, for a panel."""
        return in_words(self.fields[name], self.still_typed(name))

    def now_there(self, name: str) -> str:
        now = self.now_texts.get(name)
        return self.now_text(name) if now is None else now

    @property
    def open_fields(self) -> list[forms.BoundField]:
        """What is shown as a field: everything that is not at stake and asks for no reason."""
        return [
            field
            for field in self.visible_fields()
            if field.name not in self.asked and field.name not in self.REASON_FIELDS
        ]

    @property
    def reason_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.REASON_FIELDS if name in self.fields]
