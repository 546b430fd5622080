"""Columns of append-only tables that hold a reference where there was a name or somebody's words.

What is written from now on is kept apart (core.personal.store) and the column refers to it. Rows of
before hold the text itself and are read as they always were. Either way the attribute of a record
is text: reading it opens the reference, together with the others that were read with it, in one
query. `values_list` gives what is stored; `opened` makes text of that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models.query_utils import DeferredAttribute

from core.personal.commitments import PREFIX, committed_in
from core.personal.opening import (
    AsWritten,
    Opened,
    Reference,
    await_opening,
    forgotten_people,
    opened,
)

if TYPE_CHECKING:
    Base = models.Field[Any, Any]
    # What may be set and what is read; at run time the classes take no arguments.
    _Char = models.CharField[str, str]
    _Text = models.TextField[str, str]
else:
    Base, _Char, _Text = object, models.CharField, models.TextField


class _Attribute(DeferredAttribute):
    """The text of a column, opened when somebody reads it."""

    field: Any

    def __get__(self, instance: Any, owner: Any = None) -> Any:
        if instance is None:
            return self
        name = self.field.attname
        if name not in instance.__dict__:
            super().__get__(instance, owner)  # puts the stored value where the others are
        value = instance.__dict__[name]
        if isinstance(value, Reference):
            value = instance.__dict__[name] = opened(value)
        if value and not isinstance(value, Opened) and self.field.person:
            return self._of_before(instance, value)
        return value

    def _of_before(self, instance: Any, value: str) -> str:
        """A text in the clear; whoever was forgotten since is not named by it to anybody."""
        if instance._state.adding:
            return value
        return forgotten_people().get(getattr(instance, f"{self.field.person}_id"), value)

    def __set__(self, instance: Any, value: Any) -> None:
        instance.__dict__[self.field.attname] = value


class _Personal(Base):
    """`kind` of PersonalText; `person` and `player` name the columns that say whose text it is."""

    descriptor_class = _Attribute

    def __init__(
        self, *args: Any, kind: str = "words", person: str = "", player: str = "", **more: Any
    ) -> None:
        self.kind, self.person, self.player = kind, person, player
        super().__init__(*args, **more)

    def deconstruct(self) -> tuple[str, str, Any, Any]:
        # In the database it is the text column that it always was: no migration.
        name, _, args, kwargs = super().deconstruct()
        base = "TextField" if isinstance(self, models.TextField) else "CharField"
        return name, f"django.db.models.{base}", args, kwargs

    def from_db_value(self, value: Any, *_: Any) -> Any:
        if value and value.startswith(PREFIX) and committed_in(value) is not None:
            return await_opening(Reference(value))
        return value

    def get_prep_value(self, value: Any) -> Any:
        return super().get_prep_value(value.reference if isinstance(value, Opened) else value)

    def pre_save(self, model_instance: models.Model, add: bool) -> Any:
        return stored(model_instance, self.attname)


class PersonalCharField(_Personal, _Char):
    """One line of somebody's."""


class PersonalTextField(_Personal, _Text):
    """Words of somebody's."""


def is_personal(field: Any) -> bool:
    """Whether the column may hold references."""
    return isinstance(field, _Personal)


def stored(record: models.Model, name: str) -> str:
    """What column `name` of `record` holds: a reference, or the text itself in a row of before.

    The text of a record that is not in the database yet is kept apart by this, once.
    """
    value = record.__dict__[name]
    if isinstance(value, Opened):
        return value.reference
    fixed = isinstance(value, Reference | AsWritten)
    if fixed or not value or not record._state.adding:
        return str.__str__(value)
    field: Any = record._meta.get_field(name)
    record.__dict__[name] = made = Reference(_kept(record, field, value))
    return made


def _kept(record: models.Model, field: Any, text: str) -> str:
    # Here and not at the top: the models have such columns themselves.
    from core.owner import production_of
    from core.personal.store import keep

    person, player = (
        getattr(record, f"{name}_id") if name else None for name in (field.person, field.player)
    )
    return keep(production_of(record), text, field.kind, person=person, player=player)
