"""Load an archive into this server: all of it, verified, or nothing."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from pathlib import Path

from django.db import DatabaseError, connection, transaction

from core.models import LogBegun, LogEntry, Production
from core.personal.store import broken_texts
from core.proof.begin import begin
from core.proof.entries import silent
from core.proof.verify import broken_log
from core.search.sources import reindex
from notes.archive.checks import ArchiveRefused
from notes.archive.files import named_by
from notes.archive.provenance import provenance, summary
from notes.archive.reader import Archive, split_lines
from notes.archive.restore import FileRestore, clear_away
from notes.archive.rows import NotTaken, load_rows
from notes.blind.services import broken_sittings
from notes.handover.verify import broken_handovers
from notes.signing.verify import broken_sign_offs
from rigs.models import Rig
from rigs.revisions.verify import BrokenHistory, verify_rig

_ONE_AT_A_TIME = 0x746C_6172  # any number that is ours


def load(path: Path, *, digest: str = "") -> Production:
    """The production that is in the archive at `path`, now on this server.

    `digest` is the SHA-256 of the manifest as the export said it, if it is known: without it,
    whoever rewrites an archive as a whole can change words that no chain or seal covers. Raises
    ArchiveRefused for anything that is not as it was written, and NotTaken where this server has
    no room or its storage fails; nothing is kept then.
    """
    with Archive(path) as archive:
        # Before any row is read. A digest is no secret, so the comparison need not take constant
        # time.
        if digest and archive.digest != digest.lower():
            raise ArchiveRefused(f"manifest.json: its digest is {archive.digest}, not {digest}.")
        try:
            return _load(archive)
        except DatabaseError as error:
            raise NotTaken(f"The database does not take it ({error}).") from None


def _load(archive: Archive) -> Production:
    with FileRestore(archive) as files, transaction.atomic():
        # Before anything is looked for: two imports of one archive would both find that it is not
        # there.
        _alone()
        clear_away()
        if Production.objects.filter(pk=archive.production).exists():
            raise ArchiveRefused("This production is on this server already.")
        # What is loaded brings its log along; an archive from before there was one gets it here.
        with silent():
            load_rows(archive)
        production = Production.objects.get(pk=archive.production)
        _begin_log(production)
        _check_description(archive)
        _check_files(production, archive)
        _verify(production, archive)
        reindex(production)
        # Last inside the transaction: rows without their files are rolled back, files without rows
        # are taken away by FileRestore.
        files.restore()
    return production


def _check_description(archive: Archive) -> None:
    """What the log says of its tables is for the script that reads the archive alone: nothing of it
    is loaded, but it has to be as it was written."""
    if "log.json" in archive.members:
        for _ in archive.read("log.json"):
            pass


def _begin_log(production: Production) -> None:
    has_log = LogEntry.objects.filter(production=production).exists()
    LogBegun.objects.create(production=production, done=has_log)
    begin(production)


def _alone() -> None:
    """One import at a time: on SQLite, whoever writes is alone already."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_ONE_AT_A_TIME])


def _check_files(production: Production, archive: Archive) -> None:
    there = {(folder, sha256) for _, folder, sha256 in archive.files()}
    named = set(named_by(production))
    for folder, sha256 in sorted(named ^ there):
        problem = "is missing" if (folder, sha256) in named else "no record speaks of it"
        raise ArchiveRefused(f"files/{folder}/{sha256}: {problem}.")


def _verify(production: Production, archive: Archive) -> None:
    for broken in _breaks(production):
        raise ArchiveRefused(broken)
    _check_provenance(production, archive)


def _check_provenance(production: Production, archive: Archive) -> None:
    name, key = "provenance.json", secrets.token_bytes(32)
    # Written anew from the loaded rows and compared with what came along. A random key for each
    # import keeps the sums from being steered by whoever made the archive.
    own = summary(split_lines(name, provenance(production)), key)
    try:
        archived = summary(archive.lines(name), key)
    except (ValueError, RecursionError) as error:
        raise ArchiveRefused(f"{name}: is not as an export writes it ({error}).") from None
    if archived != own:
        raise ArchiveRefused(f"{name}: does not tell what the records tell.")


def _breaks(production: Production) -> Iterator[str]:
    for rig in Rig.objects.filter(production=production).order_by("made_at", "pk"):
        try:
            verify_rig(rig)
        except BrokenHistory as error:
            yield f"The history of {rig} ({rig.pk}) does not hold: {error}."
    # After the histories: seals and handovers name revisions, and say nothing where those do not
    # hold.
    yield from broken_sign_offs(production.pk)
    yield from broken_handovers(production.pk)
    yield from broken_sittings(production.pk)
    yield from broken_texts(production.pk)
    yield from broken_log(production)
