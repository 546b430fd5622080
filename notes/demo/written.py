"""Compare the demonstration with what was written when it was loaded."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import Any

from django.db import models

from core.models import (
    Checkpoint,
    GuestChange,
    GuestLink,
    LogEntry,
    LogNode,
    LogSalt,
    OneTimeLink,
    Production,
    Upload,
    UploadPiece,
)
from core.owner import Model
from core.tables import name_of, to_json
from notes.archive.tables import rows_of, tables
from notes.models import (
    BlindInvitation,
    Clip,
    Demonstration,
    MixSignRequest,
    SignedScatter,
    SignRequest,
)
from rigs.changes.chain import canonical
from rigs.models import ListImport

# What people write and no archive carries; the rest of what stays behind is made by programs.
BESIDES: tuple[Model, ...] = (
    OneTimeLink,
    GuestLink,
    GuestChange,
    SignRequest,
    MixSignRequest,
    BlindInvitation,
    ListImport,
    Upload,
    UploadPiece,
)
# Measured by whoever looks first, which is not writing; and the log of what is written.
MEASURED: tuple[Model, ...] = (SignedScatter, LogEntry, LogSalt, LogNode, Checkpoint)
# Sounds are measured anew when a better method comes; nobody wrote that.
NOT_BY_PEOPLE = {name_of(Clip): {"figures", "method", "earlier_figures"}}


def written_in(production: Production) -> dict[str, Any]:
    """Of each table with rows of the production: the columns, how many rows, and their SHA-256."""
    found = {}
    for model in _models():
        columns = _columns(model)
        rows, digest = _read(model, production, columns)
        if rows:
            found[name_of(model)] = {"columns": columns, "rows": rows, "sha256": digest}
    return found


def differences(demonstration: Demonstration) -> Iterator[str]:
    """The tables that are not as they were loaded, in words of the records they hold.

    Columns and tables that a later release added are left out, unless somebody filled the table.
    """
    was = demonstration.written
    for model in _models():
        before = was.get(name_of(model))
        columns = before["columns"] if before else _columns(model)
        known = set(_columns(model))
        # With the columns of then: those that a later release added are not in its digest.
        rows, digest = _read(model, demonstration.production, [c for c in columns if c in known])
        if (
            rows != (before["rows"] if before else 0)
            or before
            and (digest != before["sha256"] or not known.issuperset(columns))
        ):
            yield str(model._meta.verbose_name_plural)


def _models() -> list[Model]:
    return [*(model for model in tables() if model not in MEASURED), *BESIDES]


def _columns(model: Model) -> list[str]:
    left_out = NOT_BY_PEOPLE.get(name_of(model), set())
    return sorted(f.attname for f in model._meta.concrete_fields if f.attname not in left_out)


def _read(model: Model, production: Production, columns: Sequence[str]) -> tuple[int, str]:
    rows: models.QuerySet[Any] = rows_of(model, production).values_list(*columns)
    count, digest = 0, hashlib.sha256()
    for row in rows.iterator(chunk_size=2000):
        count += 1
        digest.update(canonical([to_json(value) for value in row]) + b"\n")
    return count, digest.hexdigest()
