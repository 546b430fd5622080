"""The base of everything that makes up a rig.

A part's tracked fields are what the history keeps. Parts are written by the gateway
(rigs.revisions.record) and by nothing else: saving one directly is refused here, and what goes
around this guard too is found by `manage.py verify`.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from contextvars import ContextVar
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.text import format_lazy

from core.holding import holding
from core.models.base import Identified
from core.units import plain
from rigs.changes.edits import Value
from rigs.fields import PartField, register

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


# Of this thread or task only: another request of the same process stays locked out.
_gateway_open: ContextVar[bool] = ContextVar("gateway_open", default=False)


class WrittenAroundGateway(Exception):
    """A part of a rig was about to change without a record of who, when and why."""


def gateway() -> AbstractContextManager[None]:
    """Allow writes of parts within the block.

    Only rigs.revisions.writer and the loading of archives, which bring their history along, enter
    it.
    """
    return holding(_gateway_open, True)


def _require_gateway(what: str) -> None:
    if not _gateway_open.get():
        raise WrittenAroundGateway(
            f"{what} belongs to a rig's history. Change it with rigs.revisions.record(), "
            "which notes who, when and why."
        )


class GuardedQuerySet(models.QuerySet[Any]):
    """A query set whose bulk writes are refused outside the gateway, like single ones."""

    def update(self, **values: Any) -> int:
        _require_gateway(self.model.__name__)
        return super().update(**values)

    def delete(self) -> tuple[int, dict[str, int]]:
        _require_gateway(self.model.__name__)
        return super().delete()

    def bulk_create(self, *args: Any, **more: Any) -> list[Any]:
        _require_gateway(self.model.__name__)
        return super().bulk_create(*args, **more)

    def live(self) -> GuardedQuerySet:
        return self.filter(retired=False)


class Tracked(Identified):
    """A record whose listed fields are kept in a rig's history."""

    KIND: ClassVar[str]
    # What each field is. Whoever adds one writes its row here, beside its column, and no more.
    FIELDS: ClassVar[tuple[PartField, ...]]
    # The names of the fields, those of the units of lengths included. Derived.
    TRACKED: ClassVar[tuple[str, ...]]
    # Fields that mean something only with each other: two people's changes of them are not mixed.
    TOGETHER: ClassVar[tuple[tuple[str, ...], ...]] = ()

    class Meta:
        abstract = True

    # At the definition of the class, so that rows are known before any model is used.
    def __init_subclass__(cls, **more: Any) -> None:
        super().__init_subclass__(**more)
        # Of the class itself, not what an abstract parent stated.
        if "FIELDS" in cls.__dict__:
            cls.TRACKED = tuple(row.name for row in register(cls.KIND, cls.FIELDS))

    def save(self, *args: Any, **more: Any) -> None:
        _require_gateway(type(self).__name__)
        super().save(*args, **more)

    def delete(self, *args: Any, **more: Any) -> Any:
        _require_gateway(type(self).__name__)
        return super().delete(*args, **more)

    def fields(self) -> dict[str, Value]:
        """The tracked fields that are not at their default, as JSON values.

        Leaving defaults out means that a field added to the program later changes no old record.
        """
        result: dict[str, Value] = {"kind": self.KIND}
        for column in columns(type(self)):
            value = plain_value(getattr(self, column.attname))
            if value != column.default:
                result[column.name] = value
        return result

    def tidy(self) -> None:
        """Bring fields to their one spelling. Raises ValidationError where they contradict."""


class Part(Tracked):
    """A part of a rig other than the rig itself. It is retired, never deleted."""

    rig = models.ForeignKey("rigs.Rig", models.PROTECT, related_name="+")
    retired = models.BooleanField(default=False, editable=False)
    position = models.PositiveIntegerField(default=0)

    objects = GuardedQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["position"]


def within(limits: tuple[int, int], words: StrOrPromise) -> list[Any]:
    """Validators of a whole number from one limit to the other; `words` have a place for each."""
    low, high = limits
    told = format_lazy(words, low=low, high=high)
    return [MinValueValidator(low, told), MaxValueValidator(high, told)]


class Column(NamedTuple):
    """A tracked field: its name in the history, its attribute, and its default as JSON value."""

    name: str
    attname: str
    default: Value
    field: models.Field[Any, Any]


@cache
def columns(model: type[Tracked]) -> tuple[Column, ...]:
    """The tracked fields of a model as columns, in the order of its rows."""
    fields = [model._meta.get_field(name) for name in model.TRACKED]
    return tuple(
        Column(f.name, f.attname, _default(f), f) for f in fields if isinstance(f, models.Field)
    )


def _default(field: models.Field[Any, Any]) -> Value:
    if field.has_default():
        return plain_value(field.get_default())
    # A text column without a default of its own starts empty; a number that may be missing is None.
    return None if field.null else ""


def plain_value(value: Any) -> Value:
    """A JSON value with one spelling: Decimals without trailing zeros, records by their id."""
    if isinstance(value, Decimal):
        return plain(value)
    if value is None or isinstance(value, bool | int | str):
        # An enum's member is a str too; the history keeps plain text.
        return str(value) if isinstance(value, str) else value
    return str(value.pk if isinstance(value, models.Model) else value)
