"""Load the rows of an archive into the tables of this server, a few hundred at a time.

Keys stay as they are, except those that a database counts up: these are new, and so is what points
at them. People keep their keys, too (`_people` says how).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import DatabaseError, OperationalError, models, transaction

from core.models import Membership, Production, User
from core.owner import Model, pointers
from core.personal.opening import FORGOTTEN
from core.tables import is_counted, name_of, to_json
from notes.archive.checks import ArchiveRefused
from notes.archive.reader import Archive
from notes.archive.schema import PEOPLE
from notes.archive.tables import pointed_at, tables
from notes.archive.values import from_json
from rigs.models.parts import gateway

BATCH = 500


class NotTaken(Exception):
    """This server has no room for it, or cannot be reached. Not the archive's fault."""


def load_rows(archive: Archive) -> None:
    """All rows of `archive`. To be called in a transaction. Raises ArchiveRefused or NotTaken."""
    _Loader(archive).load()


class _Loader:
    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        self.keys: dict[Model, dict[Any, Any]] = defaultdict(dict)  # as in the archive → as here
        self.here: dict[UUID, UUID] = {}  # people of the archive who have another account here

    def load(self) -> None:
        self._people()
        for model in tables():
            self._table(model)
        if list(self.keys[Production]) != [self.archive.production]:
            name = f"records/{name_of(Production)}.json"
            raise ArchiveRefused(f"{name}: is not the one production that the manifest names.")

    def _people(self) -> None:
        for at, row in enumerate(self.archive.rows(PEOPLE), 1):
            place = f"records/{PEOPLE}.json, row {at}"
            key = self.keys[User][row["id"]] = UUID(row["id"])
            if User.objects.filter(pk=key).exists():
                continue
            email = row["email"].strip().lower()
            known = User.objects.filter(email__iexact=email).first()
            if known is not None:
                # History names the account that wrote it; the person's own one here joins instead.
                self.here[key], email = known.pk, f"{key}@imported.invalid"
            is_open = known is None and not email.endswith(FORGOTTEN)
            made = User(pk=key, email=email, name=row["name"], is_active=is_open)
            # No password travels in an archive; people set one by mail.
            made.set_unusable_password()
            try:
                made.full_clean(exclude=["password"])
            except ValidationError as error:
                raise ArchiveRefused(f"{place}: {'; '.join(error.messages)}") from None
            made.save(force_insert=True)

    def _table(self, model: Model) -> None:
        name = f"records/{name_of(model)}.json"
        if any(target is model for _, target in pointers(model)):
            for row in self.archive.rows(name_of(model)):  # rows may point at later ones
                self.keys[model][row["id"]] = UUID(row["id"])
        rows = enumerate(self.archive.rows(name_of(model)), 1)
        for batch in _batches(rows):
            made = [self._record(model, row, f"{name}, row {at}") for at, row in batch]
            self._insert(model, made, f"{name}, rows {batch[0][0]} to {batch[-1][0]}")
            if model in pointed_at():
                for (_, row), record in zip(batch, made, strict=True):
                    self.keys[model][row["id"]] = record.pk

    def _insert(self, model: Model, made: list[models.Model], place: str) -> None:
        try:
            # The gateway guards parts of rigs; their history comes along and is verified after.
            with gateway(), transaction.atomic():
                rows_into: models.QuerySet[Any] = models.QuerySet(model=model)
                rows_into.bulk_create(made, batch_size=BATCH)
        except OperationalError as error:
            raise NotTaken(f"{place}: the database does not take more ({error}).") from None
        except (DatabaseError, ValueError, OverflowError, RecursionError) as error:
            raise ArchiveRefused(f"{place}: the database refuses it ({error}).") from None

    def _record(self, model: Model, row: dict[str, Any], place: str) -> models.Model:
        targets = {field.name: target for field, target in pointers(model)}
        values: dict[str, Any] = {}
        for field in model._meta.concrete_fields:
            if field.name not in row:
                continue  # from before there was such a column; see notes.archive.schema
            value = row[field.name]
            if field.name in targets:
                value = self._pointed(targets[field.name], value, f"{place}, {field.name}")
            elif not (field.primary_key and is_counted(model)):
                value = _value(field, value, f"{place}, {field.name}")
            else:
                continue
            values[field.attname] = value
        if model is Membership:
            values["user_id"] = self.here.get(values["user_id"], values["user_id"])
        return model(**values)

    def _pointed(self, target: Model, key: Any, place: str) -> Any:
        if key is None:
            return None
        if key not in self.keys[target]:
            raise ArchiveRefused(f"{place}: there is no {name_of(target)} {key} in the archive.")
        return self.keys[target][key]


def _batches(rows: Iterable[tuple[int, dict[str, Any]]]) -> Iterator[list[tuple[int, Any]]]:
    waiting = iter(rows)
    while batch := list(islice(waiting, BATCH)):
        yield batch


def _value(field: models.Field[Any, Any], value: Any, place: str) -> Any:
    """The value for the column, from the one spelling that an export writes."""
    try:
        result = from_json(field, value)
        if isinstance(field, models.DecimalField | models.IntegerField):
            field.run_validators(result)
        # One spelling only, so that what is imported and exported again gives the same bytes.
        same = to_json(result) == value
    except (ValueError, ValidationError, TypeError, OverflowError) as error:
        message = "; ".join(error.messages) if isinstance(error, ValidationError) else str(error)
        raise ArchiveRefused(f"{place}: {message}.") from None
    if not same:
        raise ArchiveRefused(f"{place}: is not spelt as an export spells it.")
    longest = getattr(field, "max_length", None)
    if isinstance(result, str) and longest and len(result) > longest:
        raise ArchiveRefused(f"{place}: is longer than {longest} characters.")
    if isinstance(result, str) and "\0" in result:
        raise ArchiveRefused(f"{place}: holds a character that no text has.")
    return result
