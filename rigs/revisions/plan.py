"""Work out what a set of edits really changes, and check that the result can be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.db import models
from django.utils.translation import gettext as _

from core.text import unprintable
from rigs.changes.edits import WHOLE, Add, Change, Clash, Edit, Set, Snapshot, Value
from rigs.changes.merge import Defaults, Together, merge
from rigs.models import PARTS, ChangeRow, Part, Rig, Tracked
from rigs.models.parts import columns, plain_value
from rigs.revisions.read import as_of
from rigs.revisions.references import check_references
from rigs.revisions.rows import fetch
from rigs.revisions.scenes import check_scenes
from rigs.revisions.songs import check_songs, settled


@dataclass(slots=True)
class Plan:
    """What will be written: the changes, the rows they touch, and what a person must decide."""

    changes: list[Change]
    clashes: list[Clash]
    rows: dict[str, Tracked]  # the rows that exist, by part id, retired ones too


def make_plan(rig: Rig, edits: list[Edit], base: int) -> Plan:
    """What a set of edits, made on revision `base`, really changes on `rig` as it is now.

    Raises ValidationError for impossible values, NoSuchRevision for an unknown base.
    """
    rows = _load(rig, edits)
    head: Snapshot = {part: row.fields() for part, row in rows.items() if _is_live(row)}
    # Almost every edit is made on the newest revision; only a late one pays for reading the
    # history.
    before = head if base == rig.head_number else _restrict(as_of(rig, base), edits)
    # What the editor saw goes first: their values are checked against their own page, and only then
    # merged with what others did.
    known = {**head, **before}
    tidied = [_tidied(rig, e, known.get(e.part)) for e in settled(rig, edits, known)]
    try:
        merged = merge(before, head, tidied, defaults(), together())
    except KeyError as missing:
        raise ValidationError(
            _("This rig has no part {part}.").format(part=missing.args[0])
        ) from None
    # With clashes nothing is written: these queries would be wasted, and half of what was typed on
    # top of theirs (a new scale without its setting) may be impossible where the whole is not.
    if not merged.clashes:
        # Without a merge each part was checked whole when its edit was tidied.
        if before is not head:
            _check_combinations(rig, head, merged.changes)
        check_references(rig, merged.changes)
        check_songs(rig, merged.changes)
        check_scenes(rig, merged.changes)
    return Plan(merged.changes, merged.clashes, rows)


def _load(rig: Rig, edits: list[Edit]) -> dict[str, Tracked]:
    """The rows that the edits name: one query for each kind of part."""
    by_kind: dict[str, list[str]] = defaultdict(list)
    for edit in edits:
        if edit.kind not in PARTS:
            raise ValidationError(_("“{kind}” is no kind of part.").format(kind=edit.kind))
        by_kind[edit.kind].append(edit.part)
    rows: dict[str, Tracked] = {}
    for kind, ids in by_kind.items():
        model = PARTS[kind]
        if issubclass(model, Part):
            rows.update({str(row.pk): row for row in fetch(model, ids)})
        else:
            rows[str(rig.pk)] = rig
    for part, row in rows.items():
        # An id of another production must read as one that does not exist, or it could be probed.
        if isinstance(row, Part) and row.rig_id != rig.pk:
            raise ValidationError(_("This rig has no part {part}.").format(part=part))
    _check_new([edit for edit in edits if isinstance(edit, Add) and edit.part not in rows])
    return rows


def _check_new(adds: list[Add]) -> None:
    """Refuse an id that a part had before: a snapshot holds each part by its id alone."""
    if adds and ChangeRow.objects.filter(part__in=[add.part for add in adds]).exists():
        raise ValidationError(_("A new part needs an id that no part has had."))


def _is_live(row: Tracked) -> bool:
    return not row.retired if isinstance(row, Part) else bool(getattr(row, "head_number", 0))


def _restrict(snapshot: Snapshot, edits: list[Edit]) -> Snapshot:
    return {e.part: snapshot[e.part] for e in edits if e.part in snapshot}


@cache
def defaults() -> Defaults:
    """The default of each tracked field, by kind and field."""
    return {
        kind: {column.name: column.default for column in columns(model)}
        for kind, model in PARTS.items()
    }


@cache
def together() -> Together:
    """The groups of fields that are merged as one, by kind."""
    return {kind: model.TOGETHER for kind, model in PARTS.items()}


def _tidied(rig: Rig, edit: Edit, known: dict[str, Value] | None) -> Edit:
    """The edit with its values checked and in their one spelling."""
    if not isinstance(edit, Add | Set):
        return edit
    model = PARTS[edit.kind]
    part = build(model, rig, edit.part, {**(known or {}), "kind": edit.kind})
    names = {column.name: column for column in columns(model)}
    for name, value in edit.fields.items():
        if name not in names:
            raise ValidationError(
                _("A {kind} has no “{field}”.").format(kind=edit.kind, field=name)
            )
        setattr(part, names[name].attname, _clean(names[name].field, name, value))
    if isinstance(edit, Add):
        for column in columns(model):
            if column.name not in edit.fields:
                _clean(column.field, column.name, getattr(part, column.attname))
    # On the whole part, after all of its values are in: tidy() compares fields with each other.
    part.tidy()
    fields = {name: plain_value(getattr(part, names[name].attname)) for name in edit.fields}
    kind = Add if isinstance(edit, Add) else Set
    return kind(edit.part, edit.kind, fields)


def _clean(field: models.Field, name: str, value: object) -> object:  # type: ignore[type-arg]
    if isinstance(value, models.Model):
        value = value.pk
    try:
        if isinstance(field, models.ForeignKey):
            # That the target exists and belongs here is checked on the whole, in references.
            if value in (None, "") and not field.null:
                raise ValidationError(_("This needs a value."))
            return field.target_field.to_python(value) if value not in (None, "") else None
        if value is None and not field.null:
            value = field.get_default()
        # JSON's true would pass for 1 in a number, since bool is an int in Python.
        if isinstance(value, bool) and not isinstance(field, models.BooleanField):
            raise ValidationError(_("Yes or no is not a value for this."))
        if isinstance(value, str) and isinstance(field, models.CharField | models.TextField):
            value = value.strip()
            refused = next(unprintable(value), None)
            if refused:
                raise ValidationError(
                    _("This holds a character that cannot be printed: {character}.").format(
                        character=refused
                    )
                )
        if isinstance(field, models.TextField) and field.max_length:
            # Django leaves this limit to forms; not everything that writes here is a form.
            MaxLengthValidator(field.max_length)(field.to_python(value))
        return field.clean(value, None)
    except ValidationError as error:
        raise ValidationError({name: error.messages}) from None


def build(model: type[Tracked], rig: Rig, part: str, fields: Mapping[str, Value]) -> Tracked:
    """An unsaved row of `model` with the given tracked fields, the others at their default."""
    row = model(id=part)
    if isinstance(row, Part):
        row.rig = rig
    # A part that is added states its defaults, too: a required field that is left out is refused.
    for column in columns(model):
        if column.name in fields:
            target = column.field
            if isinstance(target, models.ForeignKey):
                target = target.target_field
            setattr(row, column.attname, target.to_python(fields[column.name]))
    return row


def _check_combinations(rig: Rig, head: Snapshot, changes: list[Change]) -> None:
    """Check the merged parts as wholes: two edits that are each right may contradict."""
    for part in {c.part for c in changes if c.field != WHOLE}:
        fields = dict(head[part])
        for change in changes:
            if change.part == part and not isinstance(change.new, dict):
                fields[change.field] = change.new
        fields = {name: value for name, value in fields.items() if value is not None}
        build(PARTS[str(fields["kind"])], rig, part, fields).tidy()
