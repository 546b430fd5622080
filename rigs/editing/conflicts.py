"""What two people set, as the second of them sees it: what was typed, what is there now, by whom
and why. For the forms of rigs.editing.guarded."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.utils.html import format_html_join
from django.utils.translation import gettext as _

from core.languages.words import leading
from rigs.changes.edits import WHOLE
from rigs.editing.latest import latest_changes
from rigs.models import ChangeRow

if TYPE_CHECKING:
    from rigs.editing.guarded import GuardedForm, Key


class ContestedField(NamedTuple):
    """A field that two people set, or several that go together, ready for core/_conflict.html."""

    name: str
    anchor: str
    choice_name: str
    asked_name: str
    hidden: str  # the typed values, as inputs that are not seen
    label: str
    typed: str
    now: str
    who: str
    at: datetime | None
    why: str
    chosen: str
    since: int
    errors: list[str]


def panels_of(form: GuardedForm) -> list[ContestedField]:
    """One for each field at stake; one for those that go together. One query."""
    keys = {name: key for name in form.asked if (key := form.key(name))}
    rows = latest_changes(form.rig, {k.part for k in keys.values()}, form.asked.values())
    leads = dict.fromkeys(form.mates(name)[0] for name in keys)
    return [_panel(form, lead, [keys[n] for n in form.mates(lead)], rows) for lead in leads]


def _panel(form: GuardedForm, name: str, keys: list[Key], rows: list[ChangeRow]) -> ContestedField:
    since, names = form.asked[name], form.mates(name)
    # A part retired or restored as a whole has changed each of its fields.
    columns = {WHOLE, *(column for key in keys for column in key.columns)}
    row = next(
        (
            row
            for row in rows
            if str(row.part) == keys[0].part
            and row.revision.number > since
            and row.field in columns
        ),
        None,
    )
    made = row.revision if row else None
    return ContestedField(
        name=name,
        anchor=form[name].auto_id,
        choice_name=form.add_prefix(f"choice-{name}"),
        asked_name=form.add_prefix(f"asked-{name}"),
        hidden=format_html_join("", "{}", [[_hidden(form, each)] for each in names]),
        label=form.panel_label(name),
        typed=_side(form, names, form.typed_text),
        now=_side(form, names, form.now_there),
        who=made.author_name if made else _("someone else"),
        at=made.at if made else None,
        why=why(row),
        chosen=form.choice(name),
        since=since,
        errors=[str(error) for each in names for error in form[each].errors],
    )


def _side(form: GuardedForm, names: tuple[str, ...], text: Callable[[str], str]) -> str:
    """A value, or those that go together in one line."""
    return text(names[0]) if len(names) == 1 else form.in_one_line([text(name) for name in names])


def _hidden(form: GuardedForm, name: str) -> str:
    typed = form.still_typed(name)
    if isinstance(form.fields[name], forms.BooleanField):
        return forms.HiddenInput().render(form.add_prefix(name), "on") if typed else ""
    return forms.HiddenInput().render(form.add_prefix(name), typed)


def why(row: ChangeRow | None) -> str:
    """“The room: the gallery rings” of the change a row belongs to; empty if none was given."""
    if row is None:
        return ""
    made = row.revision
    label = "" if made.reason_kind == "none" else made.reason_label
    return leading(label, made.reason_words)


def in_words(field: forms.Field, value: Any) -> str:
    """A value as its field shows it: the label of a choice, “yes” of a tick."""
    if isinstance(field, forms.BooleanField):
        return _("yes") if value else _("no")
    if value is None or value == "":
        return ""
    if isinstance(field, forms.ChoiceField):  # those of records are such, too
        choices: Any = field.choices
        return next((str(text) for key, text in choices if str(key) == str(value)), str(value))
    return str(field.prepare_value(value))
