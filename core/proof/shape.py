"""What of a record goes into the log: which columns, by which key, in which spelling.

Keys that a database counts up mean nothing on another server, so such a record is named by what is
unique in it, and a pointer to one by the same.

A column that came after records of its table were in the log stands in `LOG_LATER` of the model:
where it holds its default nothing is said of it, so that a record of before says what it said then.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

import rfc8785
from django.db import models

from core.owner import Model, pointers
from core.personal.commitments import commitment, committed_in
from core.places import LOGGED
from core.tables import is_counted, name_of, to_json

SEPARATOR = "/"


class Column(NamedTuple):
    """`lookups` is several for a pointer at a record that has no key of its own."""

    name: str
    lookups: tuple[str, ...]
    is_text: bool
    is_later: bool
    default: Any  # of one that came later

    def says_nothing(self, parts: list[Any]) -> bool:
        return self.is_later and parts == [self.default] * len(parts)


class Shape(NamedTuple):
    """How the records of a table stand in the log."""

    table: str
    production: str  # a lookup
    key: tuple[str, ...]  # lookups
    named_by: tuple[str, ...]  # the columns that the key is made of
    pointers: Mapping[str, Model]  # columns that point at records without a key of their own
    # A column that is a digest over all a record says; otherwise the columns are digested here.
    digest: str
    columns: tuple[Column, ...]

    @property
    def lookups(self) -> list[str]:
        """Everything that `Row` is made of, in one query."""
        more = [self.digest] if self.digest else [at for c in self.columns for at in c.lookups]
        return ["pk", self.production, *self.key, *more]


class Row(NamedTuple):
    """A record as it is stored. `said` is what is digested, texts by name apart in `texts`."""

    pk: Any
    production: Any
    key: str
    digest: str
    said: dict[str, Any]
    texts: dict[str, Any]


@cache
def shapes() -> Mapping[Model, Shape]:
    """By model; of every table whose records the log holds."""
    found = {}
    for tables in LOGGED.call():
        for model, path in tables.items():
            found[model] = _shape(model, path)
    return found


def _shape(model: Model, path: str) -> Shape:
    digest = getattr(model, "LOG_DIGEST", "")
    columns = tuple(_columns(model)) if not digest else ()
    counted = {f.name: target for f, target in pointers(model) if is_counted(target)}
    key, named_by = tuple(_key(model)), tuple(_named_by(model))
    return Shape(name_of(model), path, key, named_by, counted, digest, columns)


def described() -> dict[str, Any]:
    """What an archive tells a program that knows no models, by table (docs/proof.md)."""
    return {
        shape.table: {
            "key": list(shape.named_by),
            "parts": len(shape.key),
            "digest": shape.digest,
            "columns": [column.name for column in shape.columns],
            "texts": [column.name for column in shape.columns if column.is_text],
            "later": {column.name: column.default for column in shape.columns if column.is_later},
            "pointers": {name: name_of(target) for name, target in shape.pointers.items()},
        }
        for shape in sorted(shapes().values(), key=lambda shape: shape.table)
    }


def _columns(model: Model) -> Iterator[Column]:
    targets = dict(pointers(model))
    without = getattr(model, "LOG_WITHOUT", ())
    for field in model._meta.concrete_fields:
        if field.name in without or isinstance(field, models.BinaryField):
            continue  # bytes have a column with their digest, which goes in
        if field.primary_key and is_counted(model):
            continue
        lookups: tuple[str, ...] = (field.name,)
        if field in targets and is_counted(targets[field]):
            lookups = tuple(f"{field.name}__{at}" for at in _key(targets[field]))
        is_later = field.name in getattr(model, "LOG_LATER", ())
        default = to_json(field.get_default()) if is_later else None
        yield Column(field.name, lookups, _is_text(field), is_later, default)


def _is_text(field: models.Field[Any, Any]) -> bool:
    """Whether people may have typed it: names and words go in only as commitments."""
    typed = isinstance(field, models.CharField | models.TextField | models.JSONField)
    return typed and not field.choices and not field.primary_key


def _key(model: Model) -> Iterator[str]:
    """Lookups of what names a record of `model` on every server."""
    targets = {field.name: target for field, target in pointers(model)}
    for name in _named_by(model):
        target = targets.get(name)
        if target is not None and is_counted(target):
            yield from (f"{name}__{at}" for at in _key(target))
        else:
            yield name


def _named_by(model: Model) -> Sequence[str]:
    return getattr(model, "LOG_KEY", None) or _unique(model)


def _unique(model: Model) -> Sequence[str]:
    if not is_counted(model):
        return [model._meta.pk.name]
    for each in model._meta.constraints:
        if isinstance(each, models.UniqueConstraint) and each.fields and not each.condition:
            return each.fields
    if model._meta.unique_together:
        return model._meta.unique_together[0]
    raise LookupError(f"{model._meta.label} needs LOG_KEY: what names one of its records")


def touches(model: Model, names: Sequence[str]) -> bool:
    """Whether one of those fields of `model` goes into the log."""
    shape = shapes()[model]
    return bool(shape.digest) or any(column.name in names for column in shape.columns)


def read(model: Model, rows: models.QuerySet[Any]) -> Iterator[Row]:
    """Those of `rows` as they are stored, in one query."""
    shape = shapes()[model]
    for values in rows.values_list(*shape.lookups).iterator(chunk_size=2000):
        yield _row(shape, values)


def _row(shape: Shape, values: Sequence[Any]) -> Row:
    pk, production, *rest = values
    key = SEPARATOR.join(_spelt(part) for part in rest[: len(shape.key)])
    left = iter(rest[len(shape.key) :])
    if shape.digest:
        return Row(pk, production, key, next(left), {}, {})
    said: dict[str, Any] = {}
    texts: dict[str, Any] = {}
    for column in shape.columns:
        parts = [to_json(next(left)) for _ in column.lookups]
        if column.says_nothing(parts):
            continue
        value = parts[0] if len(parts) == 1 else SEPARATOR.join(map(_spelt, parts))
        (texts if column.is_text else said)[column.name] = value
    return Row(pk, production, key, "", said, texts)


def _spelt(part: Any) -> str:
    return "" if part is None else str(to_json(part))


def digest_of(shape: Shape, row: Row, salt: str) -> bytes:
    """What an entry holds of the record: SHA-256 over its canonical JSON (RFC 8785).

    A text stands in it as a commitment under `salt`; one that is kept apart already, as what refers
    to it.
    """
    if row.digest:
        try:
            return bytes.fromhex(row.digest)
        except ValueError:  # not as it was written, which verifying finds
            return hashlib.sha256(row.digest.encode()).digest()
    texts = {name: _committed(name, value, salt) for name, value in row.texts.items()}
    said: Any = {"table": shape.table, "key": row.key, "says": row.said, "texts": texts}
    return hashlib.sha256(rfc8785.dumps(said)).digest()


def _committed(name: str, value: Any, salt: str) -> Any:
    if value is None or value == "":
        return value
    if isinstance(value, str) and committed_in(value):
        return str(value)
    # The name of the column goes in, so that two columns that say the same do not show it.
    return commitment(rfc8785.dumps([name, value]).decode(), salt)


def has_texts(rows: Iterable[Row]) -> list[Row]:
    """Those that need a salt."""
    return [row for row in rows if any(v not in (None, "") for v in row.texts.values())]
