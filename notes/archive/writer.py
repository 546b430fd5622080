"""Write a production into an archive. The same production gives the same bytes."""

from __future__ import annotations

import hashlib
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.files.base import File

from core.models import Production, Removal, User
from core.owner import Model, pointers
from core.personal.opening import FORGOTTEN
from core.proof.shape import described
from core.stored_files import StoredFileUnreadable, open_stored
from core.tables import is_counted, name_of, to_json
from notes.archive.export import one_state, written_whole
from notes.archive.files import PATHS, named_by
from notes.archive.provenance import provenance
from notes.archive.schema import FORMAT, PEOPLE, VERSION
from notes.archive.tables import pointed_at, rows_of, tables
from rigs.changes.chain import canonical

LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the first moment a zip can name
_CHUNK = 1 << 20


class MissingFile(Exception):
    """A file that the records speak of is not in the storage, or is not what was stored."""


def export(production: Production, target: Path) -> str:
    """Write `target` whole or not at all; the SHA-256 of its manifest, which vouches for the rest.

    Reads one state of the database, whatever is written meanwhile, and the files after it: they
    never change. Raises MissingFile, FileExistsError or another OSError.
    """
    with written_whole(target) as file, zipfile.ZipFile(file, "w") as zipped:
        return _Writer(zipped, production).write()


class _Writer:
    def __init__(self, zipped: zipfile.ZipFile, production: Production) -> None:
        self.zipped, self.production = zipped, production
        self.members: dict[str, dict[str, Any]] = {}
        # Keys that a database counted up, as their place in the archive.
        self.places: dict[Model, dict[int, int]] = defaultdict(dict)
        self.people: set[UUID] = set()

    def write(self) -> str:
        # Only the database needs one state; files are named by their digest and never change.
        with one_state():
            files = self._records()
        for folder, sha256 in files:
            self._file(folder, sha256)
        manifest = canonical(
            {
                "format": FORMAT,
                "version": VERSION,
                "production": str(self.production.pk),
                "members": self.members,
            }
        )
        # Last: it holds the digests of all other members.
        self._add("manifest.json", [manifest])
        return hashlib.sha256(manifest).hexdigest()

    def _records(self) -> list[tuple[str, str]]:
        """Write all that the database says; folder and hash of the files it speaks of."""
        for model in tables():
            self._json(f"records/{name_of(model)}.json", self._rows(model))
        # After the tables, whose rows say which people the archive names; nobody else is carried.
        users = User.objects.filter(pk__in=self.people).order_by("pk")
        gone = self._forgotten()
        self._json(f"records/{PEOPLE}.json", (_person(u, u.pk in gone) for u in users))
        self._add("provenance.json", provenance(self.production))
        # For whoever verifies it without this program.
        self._add("log.json", [canonical(described())])
        return list(named_by(self.production))

    def _forgotten(self) -> set[UUID | None]:
        """Who was taken out of this production, and whose account may go on in others."""
        members = self.production.memberships.values("user")
        taken_out = Removal.objects.filter(production=self.production).exclude(person__in=members)
        return set(taken_out.values_list("person", flat=True))

    def _rows(self, model: Model) -> Iterator[dict[str, Any]]:
        columns = [(f.name, f.attname) for f in model._meta.concrete_fields]
        targets = {field.name: target for field, target in pointers(model)}
        places = self.places[model] if model in pointed_at() else None
        rows = rows_of(model, self.production).values_list(*(at for _, at in columns))
        for place, values in enumerate(rows.iterator(chunk_size=2000), 1):
            row = dict(zip((name for name, _ in columns), values, strict=True))
            # Numbers that a database counted up mean nothing on another one; the place in the list
            # does.
            if is_counted(model):
                if places is not None:
                    places[row["id"]] = place
                row["id"] = place
            for name, target in targets.items():
                row[name] = self._pointed(target, row[name])
            yield {name: to_json(value) for name, value in row.items()}

    def _pointed(self, target: Model, key: Any) -> Any:
        if key is None:
            return None
        if target is User:
            self.people.add(key)
        return self.places[target][key] if is_counted(target) else key

    def _json(self, name: str, rows: Iterable[dict[str, Any]]) -> None:
        """A list, one row a line, never whole in memory."""
        self._add(name, _lines(rows))

    def _file(self, folder: str, sha256: str) -> None:
        what, name = f"The file {folder}/{sha256}", f"files/{folder}/{sha256}"
        try:
            file = open_stored(PATHS[folder](sha256), sha256, what)
        except StoredFileUnreadable as error:
            raise MissingFile(str(error)) from None
        with file:
            self._add(name, _read(file, what), packed=False)
        if self.members[name]["sha256"] != sha256:  # it was checked before, and changed since
            raise MissingFile(f"{what} cannot be read: the file is not what was stored.")

    def _add(self, name: str, pieces: Iterable[bytes], packed: bool = True) -> None:
        # A fixed time, or the same production would give other bytes each time.
        info = zipfile.ZipInfo(name, LONG_AGO)
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        # Unix mode in the upper half; without one some tools unpack to files nobody may read.
        info.external_attr = 0o600 << 16
        digest, size = hashlib.sha256(), 0
        # The size is not known before the last piece; zip64 fields have to be there from the start.
        with self.zipped.open(info, "w", force_zip64=True) as member:
            for piece in pieces:
                member.write(piece)
                digest.update(piece)
                size += len(piece)
        self.members[name] = {"bytes": size, "sha256": digest.hexdigest()}


def _person(user: User, is_forgotten: bool) -> dict[str, str]:
    # An account that was closed says by itself when and by whom.
    if is_forgotten and not user.email.endswith(FORGOTTEN):
        email, name = f"{user.pk}{FORGOTTEN}", "removed on request"
        return {"id": str(user.pk), "email": email, "name": name}
    return {"id": str(user.pk), "email": user.email, "name": user.name}


def _read(file: File[Any], what: str) -> Iterator[bytes]:
    """Its bytes. Raises MissingFile: an error of the file read is none of the file written."""
    try:
        yield from file.chunks(_CHUNK)
    except OSError as error:
        raise MissingFile(f"{what} cannot be read: the storage failed ({error}).") from None


def _lines(rows: Iterable[dict[str, Any]]) -> Iterator[bytes]:
    before = b"[\n"
    for row in rows:
        yield before + canonical(row)
        before = b",\n"
    yield b"[]\n" if before == b"[\n" else b"\n]\n"
