"""Open an archive that anybody may have made, and trust nothing that it says of itself.

Nothing is unpacked to a path. Every member is named in the manifest, read no further than it says,
and compared with its digest; every row is checked against the schema. A table is read row by row.
"""

from __future__ import annotations

import hashlib
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from core.append_only import is_append_only
from core.tables import name_of
from notes.archive.checks import ArchiveRefused, as_can_be_printed, as_the_schema_wants, parsed
from notes.archive.schema import PEOPLE
from notes.archive.tables import ADDED_LATER, tables

MAX_RECORDS = 8 << 30  # bytes of all tables and the provenance, unpacked
MAX_ROW = 32 << 20
MAX_MANIFEST = 256 << 20
MAX_MEMBERS = 1_000_000
FILE = re.compile(r"files/(photos|sounds)/([0-9a-f]{64})")
_CHUNK = 1 << 20


class Archive:
    """An open archive. `digest` is the SHA-256 of its manifest, in hexadecimal."""

    def __init__(self, path: Path) -> None:
        try:
            self._zip, self._size = zipfile.ZipFile(path), path.stat().st_size
        except FileNotFoundError:
            raise ArchiveRefused(f"There is no file {path}.") from None
        except IsADirectoryError:
            raise ArchiveRefused(f"{path} is a folder, no archive.") from None
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
            raise ArchiveRefused(
                f"{path.name}: not a zip file, or a damaged one ({error})."
            ) from None
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
        # Over the bytes as they are, before anything of them is believed or parsed.
        self.digest = hashlib.sha256(body).hexdigest()
        manifest = as_the_schema_wants("manifest.json", parsed("manifest.json", body), "")
        self.production: str = manifest["production"]
        self.members: dict[str, dict[str, Any]] = manifest["members"]
        self._check_names()
        self._check_sizes()

    def _names(self) -> dict[str, zipfile.ZipInfo]:
        members: dict[str, zipfile.ZipInfo] = {}
        for info in self._zip.infolist():
            # A zip may name one member twice, and which one a reader takes is its own affair.
            if info.filename in members:
                raise ArchiveRefused(f"{info.filename}: is in the archive twice.")
            if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise ArchiveRefused(f"{info.filename}: is packed in a way that no export uses.")
            members[info.filename] = info
            if len(members) > MAX_MEMBERS:
                raise ArchiveRefused("The archive has too many members.")
        if "manifest.json" not in members:
            raise ArchiveRefused("manifest.json: is missing.")
        return members

    def _check_names(self) -> None:
        expected = {f"records/{name_of(model)}.json" for model in tables()}
        expected |= {f"records/{PEOPLE}.json", "provenance.json", "log.json"}
        for name in sorted({*self.members, *self._infos} - {"manifest.json"}):
            if name not in expected and not FILE.fullmatch(name):
                raise ArchiveRefused(f"{name}: no archive has such a member.")
            if name not in self.members:
                raise ArchiveRefused(f"{name}: the manifest does not know it.")
            if name not in self._infos:
                raise ArchiveRefused(f"{name}: is missing.")
        # An archive of an earlier release lacks the tables that were added since.
        later = {"log.json", *(f"records/{name}.json" for name in ADDED_LATER)}
        for name in sorted(expected - later - set(self.members)):
            raise ArchiveRefused(f"{name}: is missing.")

    def _check_sizes(self) -> None:
        """Files are kept as they are, so that together they cannot be more than the archive."""
        records = files = 0
        for name, listed in self.members.items():
            if not FILE.fullmatch(name):
                records += listed["bytes"]
                if records > MAX_RECORDS:
                    problem = f"{listed['bytes']} bytes are more than an archive may have"
                    raise ArchiveRefused(f"{name}: {problem}.")
                continue
            # Stored and not deflated: together they can then be no larger than the file on disk, so
            # that no member can swell while it is read.
            files += listed["bytes"]
            if self._infos[name].compress_type != zipfile.ZIP_STORED or files > self._size:
                raise ArchiveRefused(f"{name}: is packed; photos and sounds are kept as they are.")

    def files(self) -> Iterator[tuple[str, str, str]]:
        """Member, folder and SHA-256 of each file."""
        for name in sorted(self.members):
            match = FILE.fullmatch(name)
            if match:
                yield name, match[1], match[2]

    def rows(self, table: str) -> Iterator[dict[str, Any]]:
        """The rows of a table in turn, each as the schema wants it, never all in memory.

        Raises ArchiveRefused at the first that is not, or after the last where the table as a whole
        is not what its digest says.
        """
        name = f"records/{table}.json"
        if name not in self.members and table in ADDED_LATER:
            return
        lines = self.lines(name)
        first = next(lines, b"")
        at, more = 0, first == b"["
        # What is written once stays as it was: its digest holds every character of it.
        history = {name_of(model) for model in tables() if is_append_only(model)}
        while more:
            at, line = at + 1, next(lines, b"")
            more = line.endswith(b",")
            place = f"{name}, row {at}"
            row = as_the_schema_wants(place, parsed(place, line.removesuffix(b",")), table)
            yield row if table in history else as_can_be_printed(place, row)
        if first != b"[]" and (not at or next(lines, b"") != b"]"):
            raise ArchiveRefused(f"{name}, row {at + 1}: is not one row a line, in one list.")
        if next(lines, None) is not None:
            raise ArchiveRefused(f"{name}: goes on after its end.")

    def lines(self, name: str) -> Iterator[bytes]:
        """The lines of a member without their ends, as `read` reads it."""
        return split_lines(name, self.read(name))

    def read(self, name: str) -> Iterator[bytes]:
        """The bytes of a member in pieces. Raises ArchiveRefused at the end for another digest."""
        listed = self.members[name]
        digest, size = hashlib.sha256(), 0
        for piece in self._pieces(name, listed["bytes"]):
            digest.update(piece)
            size += len(piece)
            yield piece
        if size != listed["bytes"] or digest.hexdigest() != listed["sha256"]:
            raise ArchiveRefused(f"{name}: is not what was written.")

    def _pieces(self, name: str, limit: int) -> Iterator[bytes]:
        """The bytes of a member, `limit` at most whatever the zip says (against zip bombs)."""
        left = limit
        try:
            with self._zip.open(self._infos[name]) as member:
                # One byte more than allowed, to notice that there is more.
                while piece := member.read(min(_CHUNK, left + 1)):
                    left -= len(piece)
                    if left < 0:
                        raise ArchiveRefused(f"{name}: holds more than it says.")
                    yield piece
        except (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, RuntimeError) as error:
            raise ArchiveRefused(f"{name}: is damaged ({error}).") from None
        except Exception as error:
            if type(error).__module__ == "zlib":
                raise ArchiveRefused(f"{name}: is damaged ({error}).") from None
            raise


def split_lines(name: str, pieces: Iterator[bytes]) -> Iterator[bytes]:
    """The lines in `pieces` without their ends. Reads to the end, so that the digest is checked."""
    held = b""
    for piece in pieces:
        *whole, held = (held + piece).split(b"\n")
        yield from whole
        # One row without an end would else fill the memory before its digest could be compared.
        if len(held) > MAX_ROW:
            raise ArchiveRefused(f"{name}: has a row of more than {MAX_ROW} bytes.")
    if held:
        yield held
