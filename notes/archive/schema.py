"""JSON Schema (2020-12) of an archive's records, made from the models. docs/ has a copy of it."""

from __future__ import annotations

from functools import cache
from typing import Any

from django.db import models

from core.owner import Model
from core.tables import is_counted, name_of
from notes.archive.tables import tables

FORMAT, VERSION = "toneledger-archive", 1
PEOPLE = "core.user"
# The lengths, because a pattern's end may come before a last line break in some languages.
HASH = {"type": "string", "pattern": "^[0-9a-f]{64}$", "maxLength": 64}
_SPELT = "^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
UUID_ = {"type": "string", "format": "uuid", "pattern": _SPELT, "maxLength": 36}
_TYPES: tuple[tuple[Any, dict[str, Any]], ...] = (
    (models.BooleanField, {"type": "boolean"}),
    (models.UUIDField, UUID_),
    (models.DateTimeField, {"type": "string", "format": "date-time"}),
    (models.DateField, {"type": "string", "format": "date"}),
    (models.DecimalField, {"type": "string", "pattern": r"^-?\d+(\.\d+)?$"}),
    (models.BinaryField, {"type": "string", "contentEncoding": "base64"}),
    (models.JSONField, {}),
    (models.IntegerField, {"type": "integer"}),
    (models.FloatField, {"type": "number"}),
    ((models.CharField, models.TextField), {"type": "string"}),
)


@cache
def schema() -> dict[str, Any]:
    """The manifest itself, and under `$defs` one row of each table by its name."""
    people = {"id": UUID_, "email": {"type": "string"}, "name": {"type": "string"}}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Manifest of a Toneledger archive; its rows are under $defs by table",
        **_object(
            {
                "format": {"const": FORMAT},
                "version": {"const": VERSION},
                "production": UUID_,
                "members": {
                    "type": "object",
                    "additionalProperties": _object(
                        {"bytes": {"type": "integer", "minimum": 0}, "sha256": HASH}
                    ),
                },
            }
        ),
        "$defs": {PEOPLE: _object(people)} | {name_of(model): _row(model) for model in tables()},
    }


def _object(
    properties: dict[str, Any], may_be_missing: frozenset[str] = frozenset()
) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": sorted(set(properties) - may_be_missing),
        "additionalProperties": False,
    }


def _row(model: Model) -> dict[str, Any]:
    columns = model._meta.concrete_fields
    missing = frozenset(field.name for field in columns if may_be_missing(field))
    return _object({field.name: column(field) for field in columns}, missing)


def may_be_missing(field: models.Field[Any, Any]) -> bool:
    """Whether an archive from before the column was added can be read without it: a column that
    may be empty is, or one whose default is the same for every row has that."""
    same_for_all = not callable(field.default) or field.default in (list, dict)
    return field.null or (field.has_default() and same_for_all)


def column(field: models.Field[Any, Any]) -> dict[str, Any]:
    """The schema of one column; a pointer has that of the key it points at."""
    if isinstance(field, models.ForeignKey):
        target = field.related_model
        assert isinstance(target, type)  # noqa: S101 - models are loaded by now
        shape = _key(target)
    elif field.primary_key:
        shape = _key(field.model)
    else:
        shape = next(kind for types, kind in _TYPES if isinstance(field, types))
    return {"anyOf": [shape, {"type": "null"}]} if field.null and shape else shape


def _key(model: Model) -> dict[str, Any]:
    return {"type": "integer", "minimum": 1} if is_counted(model) else UUID_
