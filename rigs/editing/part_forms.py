"""Forms for the parts of a rig. They save nothing: `edits()` is for the gateway."""

from __future__ import annotations

from typing import Any, ClassVar, Self

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from core.forms.base import LengthsMixin
from core.forms.repeated import Repeated
from core.languages.dates import short_moment
from core.numbers import whole_number
from rigs.changes.edits import WHOLE, Add, Edit, Set, Value
from rigs.editing.conflicts import why
from rigs.editing.guarded import GuardedForm, Key
from rigs.editing.latest import last_retirement
from rigs.fields import find
from rigs.models import Part, Rig, Tracked
from rigs.revisions.plan import build
from rigs.revisions.read import as_of
from rigs.revisions.record import Conflict
from rigs.revisions.rows import fetch

MAY_NEED_REASON = ("input", "group")


class PartForm(Repeated, LengthsMixin, GuardedForm, forms.ModelForm):  # type: ignore[type-arg]
    """One part of `rig`: `part` is its row, or an unsaved one to add.

    The form compares what was typed with the state it was opened on, so that a field that was not
    touched takes no side. `fixed` are fields of a new part that the page sets and nobody types.
    `ask_reason`: None asks where a reason may be needed, False leaves it to the page.
    """

    GROUPS: ClassVar[tuple[tuple[str, tuple[str, ...]], ...]] = ()

    def __init__(
        self,
        rig: Rig,
        part: Tracked,
        data: QueryDict | None = None,
        *,
        fixed: dict[str, Any] | None = None,
        ask_reason: bool | None = None,
        prefix: str | None = None,
    ) -> None:
        self.row, self.kind, self.fixed = part, part.KIND, fixed or {}
        self.is_new = part._state.adding
        # Fields that mean something only together conflict together: a distance and its unit.
        self.together = part.TOGETHER
        self.options: dict[str, Any] = {
            "fixed": fixed,
            "ask_reason": ask_reason,
            "prefix": prefix,
        }
        # Before the form itself, whose initial values are the fields as the page showed them.
        self.opened_on = {} if self.is_new else self._as_opened(rig, data, prefix)
        super().__init__(data, instance=self._copy(rig), prefix=prefix)
        self.set_up(rig)
        self.set_up_lengths()
        self.limit_choices()
        if ask_reason or (ask_reason is None and self.kind in MAY_NEED_REASON and not self.is_new):
            self.add_reason_fields()
        self.read_choices()

    def _as_opened(self, rig: Rig, data: QueryDict | None, prefix: str | None) -> dict[str, Value]:
        """The part's fields when the form was opened; of a retired one, what it left with."""
        name = f"{prefix}-base" if prefix else "base"
        base = whole_number((data or QueryDict()).get(name))
        # Nothing has changed since then; a number that was never given out says nothing either.
        if base is None or base >= rig.head_number:
            return self.row.fields()
        then = as_of(rig, base).get(str(self.row.pk))
        # The form of a retired part was opened on a state that has no such part any more.
        left = None if then else last_retirement(self.row, before=base)
        return then or (dict(left.old) if left else self.row.fields())

    def _copy(self, rig: Rig) -> Tracked:
        """To be filled in, so that the page's own row stays as it is."""
        if self.is_new:
            return self.row
        return build(type(self.row), rig, str(self.row.pk), self.opened_on)

    def limit_choices(self) -> None:
        """Offer only what belongs to the rig."""

    @property
    def gone(self) -> bool:
        """The part was retired; saving brings it back."""
        return isinstance(self.row, Part) and self.row.retired

    @property
    def gone_words(self) -> str:
        """Who retired it, when and why. One query."""
        row = last_retirement(self.row)
        if row is None:
            return ""
        because = why(row)
        if because:
            words = _("“{part}” was retired by {name}, {moment}. Because: {why}.")
        else:
            words = _("“{part}” was retired by {name}, {moment}.")
        name, at = row.revision.author_name, short_moment(row.revision.happened_at)
        return words.format(part=self.row, name=name, moment=at, why=because)

    def key(self, name: str) -> Key | None:
        if name not in self._meta.fields:  # type: ignore[operator]
            return None
        row = find(self.kind, name)
        return Key(str(self.instance.pk), row.stored if row else (name,))

    def clean(self) -> dict[str, Any]:
        cleaned = self.spread_lengths(super().clean() or self.cleaned_data)
        self.require_choices()
        return cleaned

    def edits(self) -> list[Edit]:
        part = str(self.instance.pk)
        if self.is_new:
            # All fields of a new part, since there is nothing yet that could stay as it is.
            names = [name for name in self.fields if self.key(name)]
            return [Add(part, self.kind, {**self.fixed, **self._values(names)})]
        values = self._values(self.typed())
        if "bring_back" in self.data and isinstance(self.row, Part):
            # What came back is written whole: the history has nothing of it between the two.
            left_with = {name: v for name, v in self.opened_on.items() if name != "kind"}
            return [Add(part, self.kind, {**left_with, **values})]
        return [Set(part, self.kind, values)] if values else []

    def _values(self, names: list[str]) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for name in names:
            values[name] = self.cleaned_data[name]
            row = find(self.kind, name)
            if row and row.is_length:
                values[row.unit_field] = self.cleaned_data[row.unit_field]
        return values

    def again(self, conflict: Conflict) -> Self:
        rig = conflict.rig
        # Read anew: whoever saved first has changed the row that this form was opened with.
        row = fetch(type(self.row), [self.row.pk])[0]
        if isinstance(row, Rig):
            rig = row
        form = type(self)(rig, row, **self.options)
        at_stake = [n for clash in conflict.clashes for n in self.fields_of(clash)]
        # One retired the part while the other edited it, so all that was typed is in question.
        if any(clash.field == WHOLE for clash in conflict.clashes):
            typed = [] if form.gone else self.typed()
            at_stake = [n for n in typed if form.differs(n, self.raw(n))]
            at_stake = list(dict.fromkeys(mate for n in at_stake for mate in self.mates(n)))
        form.conflicted = True
        form.asked = dict.fromkeys(at_stake, self.base)
        form.now_texts = {n: form.now_text(n) for n in at_stake}
        form.retain_typed(self, [*self.typed(), *at_stake])
        return form

    def differs(self, name: str, raw: Any) -> bool:
        field = self.fields[name]
        return field.has_changed(self.get_initial_for_field(field, name), raw)

    def panel_label(self, name: str) -> str:
        """Of fields that go together, the heading they stand under."""
        heading = next((title for title, names in self.GROUPS if name in names), "")
        alone = len(self.mates(name)) == 1
        return super().panel_label(name) if alone or not heading else _(heading)

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The open fields under their headings; those under none come first."""
        shown = {field.name: field for field in self.open_fields}
        grouped = [
            (title, [shown.pop(n) for n in names if n in shown]) for title, names in self.GROUPS
        ]
        groups = [("", list(shown.values())), *grouped]
        return [(title, fields) for title, fields in groups if fields]
