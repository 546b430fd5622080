"""The files that rows name: which there are, and where the storage keeps them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from core.models import Production
from core.owner import path_to_production
from core.stored_files import removed_from
from notes.archive.tables import rows_of
from notes.clips import storage as storing
from notes.models import Clip, NoteMemo, StoredSound
from rigs.models import StoredPhoto
from rigs.photos import storage

PATHS: dict[str, Callable[[str], str]] = {"photos": storage.path_of, "sounds": storing.path_of}
# Folder in the archive → the model and its columns that hold a SHA-256.
NAMED: dict[str, list[tuple[Any, tuple[str, ...]]]] = {
    "photos": [(StoredPhoto, ("sha256", "thumb_sha256"))],
    "sounds": [
        (StoredSound, ("sha256",)),
        (Clip, ("working", "preview")),
        (NoteMemo, ("preview",)),
    ],
}


def named_by(production: Production) -> Iterator[tuple[str, str]]:
    """Folder and hash of every file, each once, in order."""
    for folder, sources in sorted(NAMED.items()):
        named: set[str] = set()
        for model, columns in sources:
            rows = rows_of(model, production).values_list(*columns)
            named.update(sha256 for row in rows for sha256 in row if sha256)
        gone = set(removed_from(production.pk))
        yield from ((folder, sha256) for sha256 in sorted(named - gone))


def is_named(folder: str, sha256: str, besides: Any = ()) -> bool:
    """Whether any row of any production speaks of that file, `besides` of those left out."""
    return any(
        model.objects.filter(**{column: sha256})
        .exclude(**{f"{path_to_production(model)}__in": besides})
        .exists()
        for model, columns in NAMED[folder]
        for column in columns
    )
