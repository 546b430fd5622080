"""Load an archive into this server: all of it, verified, or nothing."""

from __future__ import annotations

import tempfile
from collections import defaultdict
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import DatabaseError, models, transaction

from core.models import Membership, Production, User
from core.search.sources import reindex
from notes.archive.files import PATHS, named_by
from notes.archive.provenance import provenance
from notes.archive.reading import Archive, Refused
from notes.archive.schema import PEOPLE
from notes.archive.tables import Model, is_counted, name_of, pointers, tables
from notes.archive.values import from_json
from notes.published.checking import broken_handovers
from notes.signing.verify import broken_sign_offs
from rigs.models import Rig
from rigs.models.parts import gateway
from rigs.revisions.chain import canonical
from rigs.revisions.verify import Broken, verify_rig

Rows = dict[Model, list[dict[str, Any]]]


def load(path: Path, *, digest: str = "") -> Production:
    """The production that is in the archive at `path`, now on this server.

    `digest` is the SHA-256 of the manifest as the export said it, if it is known: without it,
    whoever rewrites an archive as a whole can change words that no chain or seal covers. Raises
    Refused, with nothing kept, for anything that is not as it was written.
    """
    with Archive(path) as archive:
        if digest and archive.digest != digest.lower():
            raise Refused(f"manifest.json: its digest is {archive.digest}, not {digest}.")
        if Production.objects.filter(pk=archive.production).exists():
            raise Refused("This production is on this server already.")
        with _Files(archive) as files, transaction.atomic():
            files.bring()
            _Loader(archive).load()
            production = Production.objects.get(pk=archive.production)
            _verify(production, archive)
            reindex(production)
    return production


class _Files:
    """Takes away again what it brought, where the rows do not follow."""

    def __init__(self, archive: Archive) -> None:
        self.archive, self.brought = archive, list[str]()

    def __enter__(self) -> _Files:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is not None:
            for path in self.brought:
                with suppress(OSError):
                    default_storage.delete(path)

    def bring(self) -> None:
        for name, folder, sha256 in self.archive.files():
            if self.archive.members[name]["sha256"] != sha256:
                raise Refused(f"{name}: its name is not its digest.")
            path = PATHS[folder](sha256)
            with tempfile.TemporaryFile() as held:
                for piece in self.archive.read(name):
                    held.write(piece)
                if not default_storage.exists(path):
                    held.seek(0)
                    self.brought.append(default_storage.save(path, File(held)))


class _Loader:
    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        self.keys: dict[Model, dict[Any, Any]] = defaultdict(dict)  # as in the archive → as here
        self.here: dict[UUID, UUID] = {}  # people of the archive who have another account here

    def load(self) -> None:
        self._people()
        for model in tables():
            self._table(model)
        self._check_files()

    def _people(self) -> None:
        for at, row in enumerate(self.archive.rows(PEOPLE), 1):
            key = UUID(row["id"])
            self.keys[User][row["id"]] = key
            if User.objects.filter(pk=key).exists():
                continue
            email = row["email"].strip().lower()
            known = User.objects.filter(email__iexact=email).first()
            if known is not None:
                # History names the account that wrote it; the person's own one here joins instead.
                self.here[key], email = known.pk, f"{key}@imported.invalid"
            made = User(pk=key, email=email, name=row["name"], is_active=known is None)
            made.set_unusable_password()
            try:
                made.full_clean(exclude=["password"])
            except ValidationError as error:
                place = f"records/{PEOPLE}.json, row {at}"
                raise Refused(f"{place}: {'; '.join(error.messages)}") from None
            made.save(force_insert=True)

    def _table(self, model: Model) -> None:
        name = f"records/{name_of(model)}.json"
        rows = self.archive.rows(name_of(model))
        if model is Production and [row["id"] for row in rows] != [self.archive.production]:
            raise Refused(f"{name}: is not the one production that the manifest names.")
        if not is_counted(model):
            for row in rows:  # first, because rows may point at rows of their own table
                self.keys[model][row["id"]] = UUID(row["id"])
        made = [self._record(model, row, f"{name}, row {at}") for at, row in enumerate(rows, 1)]
        try:
            # The gateway guards parts of rigs; their history comes along and is verified below.
            with gateway(), transaction.atomic():
                rows_into: models.QuerySet[Any] = models.QuerySet(model=model)
                rows_into.bulk_create(made, batch_size=500)
        except (DatabaseError, ValueError, OverflowError) as error:
            raise Refused(f"{name}: the database refuses it ({error}).") from None
        if is_counted(model):
            for row, record in zip(rows, made, strict=True):
                self.keys[model][row["id"]] = record.pk

    def _record(self, model: Model, row: dict[str, Any], place: str) -> models.Model:
        targets = {field.name: target for field, target in pointers(model)}
        values: dict[str, Any] = {}
        for field in model._meta.concrete_fields:
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
            raise Refused(f"{place}: there is no {name_of(target)} {key} in the archive.")
        return self.keys[target][key]

    def _check_files(self) -> None:
        there = {(folder, sha256) for _, folder, sha256 in self.archive.files()}
        wanted = set(named_by(Production.objects.get(pk=self.archive.production)))
        for folder, sha256 in sorted(wanted ^ there):
            said = "is missing" if (folder, sha256) in wanted else "no record speaks of it"
            raise Refused(f"files/{folder}/{sha256}: {said}.")


def _value(field: models.Field[Any, Any], value: Any, place: str) -> Any:
    try:
        found = from_json(field, value)
    except (ValueError, ValidationError, TypeError) as error:
        told = "; ".join(error.messages) if isinstance(error, ValidationError) else str(error)
        raise Refused(f"{place}: {told}.") from None
    longest = getattr(field, "max_length", None)
    if isinstance(found, str) and longest and len(found) > longest:
        raise Refused(f"{place}: is longer than {longest} characters.")
    if isinstance(found, str) and "\0" in found:
        raise Refused(f"{place}: holds a character that no text has.")
    return found


def _verify(production: Production, archive: Archive) -> None:
    for rig in Rig.objects.filter(production=production).order_by("made_at", "pk"):
        try:
            verify_rig(rig)
        except Broken as error:
            raise Refused(f"The history of {rig} ({rig.pk}) does not hold: {error}.") from None
    for broken in broken_sign_offs(production.pk):
        raise Refused(broken)
    for broken in broken_handovers(production.pk):
        raise Refused(broken)
    if b"".join(archive.read("provenance.json")) != canonical(provenance(production)):
        raise Refused("provenance.json: does not tell what the records tell.")
