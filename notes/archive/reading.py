"""Open an archive that anybody may have made, and believe nothing it says of itself.

Nothing is unpacked to a path. Every member is named in the manifest, read no further than it says,
and compared with its digest; every row is checked against the schema.
"""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import jsonschema

from notes.archive.schema import PEOPLE, schema
from notes.archive.tables import name_of, tables

MAX_RECORDS = 512 << 20  # bytes of one table, unpacked
MAX_FILE = 4 << 30
MAX_MANIFEST = 64 << 20
MAX_MEMBERS = 1_000_000
FILE = re.compile(r"files/(photos|sounds)/([0-9a-f]{64})")
_CHUNK = 1 << 20


class Refused(Exception):
    """The archive is not what an export wrote. The message names the place."""


class Archive:
    """An open archive. `digest` is the SHA-256 of its manifest, in hexadecimal."""

    def __init__(self, path: Path) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
        except FileNotFoundError:
            raise Refused(f"There is no file {path}.") from None
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
            raise Refused(f"{path.name}: not a zip file, or a damaged one ({error}).") from None
        try:
            self._open()
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: object, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    def _open(self) -> None:
        self._infos = self._names()
        body = b"".join(self._pieces("manifest.json", MAX_MANIFEST))
        self.digest = hashlib.sha256(body).hexdigest()
        self.manifest = _check("manifest.json", _parsed("manifest.json", body), "")
        self.production: str = self.manifest["production"]
        self.members: dict[str, dict[str, Any]] = self.manifest["members"]
        self._check_names()

    def _names(self) -> dict[str, zipfile.ZipInfo]:
        found: dict[str, zipfile.ZipInfo] = {}
        for info in self._zip.infolist():
            if info.filename in found:
                raise Refused(f"{info.filename}: is in the archive twice.")
            found[info.filename] = info
            if len(found) > MAX_MEMBERS:
                raise Refused("The archive has too many members.")
        if "manifest.json" not in found:
            raise Refused("manifest.json: is missing.")
        return found

    def _check_names(self) -> None:
        wanted = {f"records/{name_of(model)}.json" for model in tables()}
        wanted |= {f"records/{PEOPLE}.json", "provenance.json"}
        for name in sorted({*self.members, *self._infos} - {"manifest.json"}):
            if name not in wanted and not FILE.fullmatch(name):
                raise Refused(f"{name}: no archive has such a member.")
            if name not in self.members:
                raise Refused(f"{name}: the manifest does not know it.")
            if name not in self._infos:
                raise Refused(f"{name}: is missing.")
        for name in sorted(wanted - set(self.members)):
            raise Refused(f"{name}: is missing.")

    def files(self) -> Iterator[tuple[str, str, str]]:
        """Member, folder and SHA-256 of each file."""
        for name in sorted(self.members):
            found = FILE.fullmatch(name)
            if found:
                yield name, found[1], found[2]

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of a table, each as the schema wants it."""
        name = f"records/{table}.json"
        found = _parsed(name, b"".join(self.read(name, MAX_RECORDS)))
        if not isinstance(found, list):
            raise Refused(f"{name}: is not a list.")
        return [_check(f"{name}, row {at}", row, table) for at, row in enumerate(found, 1)]

    def read(self, name: str, limit: int = MAX_FILE) -> Iterator[bytes]:
        """The bytes of a member in pieces. Raises Refused at the end if they are not its own."""
        said = self.members[name]
        if said["bytes"] > limit:
            raise Refused(f"{name}: {said['bytes']} bytes are more than an archive may have.")
        found, size = hashlib.sha256(), 0
        for piece in self._pieces(name, said["bytes"]):
            found.update(piece)
            size += len(piece)
            yield piece
        if size != said["bytes"] or found.hexdigest() != said["sha256"]:
            raise Refused(f"{name}: is not what was written.")

    def _pieces(self, name: str, limit: int) -> Iterator[bytes]:
        """At most `limit` bytes, whatever the zip says; a bomb is left before it goes off."""
        left = limit
        try:
            with self._zip.open(self._infos[name]) as member:
                while piece := member.read(min(_CHUNK, left + 1)):
                    left -= len(piece)
                    if left < 0:
                        raise Refused(f"{name}: holds more than it says.")
                    yield piece
        except (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, RuntimeError) as error:
            raise Refused(f"{name}: is damaged ({error}).") from None
        except Exception as error:
            if type(error).__module__ == "zlib":
                raise Refused(f"{name}: is damaged ({error}).") from None
            raise


def _parsed(name: str, body: bytes) -> Any:
    try:
        return json.loads(body)
    except (ValueError, RecursionError) as error:
        raise Refused(f"{name}: is no JSON ({error}).") from None


def _check(place: str, value: Any, table: str) -> Any:
    error = jsonschema.exceptions.best_match(_validator(table).iter_errors(value))
    if error is None:
        return value
    where = ".".join(str(step) for step in error.absolute_path)
    raise Refused(f"{place}{f', {where}' if where else ''}: {error.message[:200]}.")


_validators: dict[str, Any] = {}


def _validator(table: str) -> Any:
    if table not in _validators:
        whole = schema()
        chosen = (
            whole["$defs"][table] if table else {k: v for k, v in whole.items() if k != "$defs"}
        )
        _validators[table] = jsonschema.Draft202012Validator(chosen)
    return _validators[table]
