"""Compare the log of a production with its checkpoints, and its records with the log.

Everything that does not hold is named, one sentence each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, NamedTuple
from uuid import UUID

from django.db import models

from core.models import Checkpoint, LogEntry, LogNode, LogSalt, Production
from core.owner import Model
from core.proof.begin import is_begun
from core.proof.checkpoints import Stated, frontier_of, newest, stated
from core.proof.entries import Entry, Stored, entries_of, marked
from core.proof.key import Key, key_if_usable, name_of_key
from core.proof.merkle import Frontier
from core.proof.nodes import SIZE, id_at
from core.proof.shape import Row, Shape, digest_of, read, shapes

_AT_ONCE = 500


class Newest(NamedTuple):
    """The newest entry about each record, by table and key; and how far the log was walked."""

    digests: dict[tuple[str, str], bytes]
    size: int
    broken: list[str]


def broken_log(
    production: Production, kept: Iterable[Stated] = (), *, go_on: bool = False
) -> Iterator[str]:
    """What is wrong, in words. `kept` are checkpoints of this production from elsewhere.

    `go_on`: only what was written since the last checkpoint of this server, which is believed;
    records that no entry names since then are not read.
    """
    last = newest(production.pk) if go_on else None
    if last is not None and not stated(last).is_signed():
        yield f"{production} · the last checkpoint is unsigned, so nothing goes on from it."
        last = None
    found = _walked(production.pk, list(kept), last)
    yield from (f"{production} · {each}" for each in found.broken)
    if not is_begun(production.pk):
        yield (
            f"{production} · records from before there was a log are not in it yet: "
            "run manage.py checkpoint."
        )
        return
    for words in _records(production.pk, found.digests, only_named=last is not None):
        yield f"{production} · {words}"


# The log itself


def _walked(production: UUID, kept: list[Stated], last: Checkpoint | None) -> Newest:
    walk = _Walk(production, kept, last)
    walk.run()
    return Newest(walk.digests, walk.frontier.size, walk.broken)


class _Walk:
    """One pass over the entries, with every checkpoint compared where it stands."""

    def __init__(self, production: UUID, kept: list[Stated], last: Checkpoint | None) -> None:
        self.production, self.frontier = production, frontier_of(last)
        self.broken: list[str] = []
        self.digests: dict[tuple[str, str], bytes] = {}
        own = [stated(row) for row in _rows(production)]
        self.marks = _Marks(production, key_if_usable(), [*own, *kept])
        self.broken += _signatures(own, self.marks.key)
        self.wanted: dict[int, list[tuple[str, Stated]]] = {}
        for where, each in [("on file", c) for c in own] + [("from elsewhere", c) for c in kept]:
            self.wanted.setdefault(each.size, []).append((where, each))
        self.kept = kept
        self.nodes = _Nodes(production)

    def run(self) -> None:
        self._compare()
        seen: set[Entry] = set()
        for stored in entries_of(self.production, after=id_at(self.production, self.frontier.size)):
            self._one(stored, seen)
        self.broken += self.marks.broken + self.nodes.broken
        for size in sorted(s for s in self.wanted if s > self.frontier.size):
            for where, each in self.wanted[size]:
                self.broken.append(
                    f"the end of the log was cut: {_named(where, each)} has {size} entries, the "
                    f"log {self.frontier.size}."
                )
        self.broken += _signatures(self.kept, self.marks.key, "from elsewhere ")

    def _one(self, stored: Stored, seen: set[Entry]) -> None:
        entry = stored.entry
        # An old entry put in again would make an old state the newest. Saved again unchanged within
        # one moment is no such thing.
        if entry in seen and self.digests[(entry.table, entry.key)] != entry.digest:
            self.broken.append(
                f"entry {self.frontier.size} ({entry.table} {entry.key}) is an old one again."
            )
        seen.add(entry)
        self.marks.take(self.frontier.size, stored)
        leaf = entry.leaf()
        self.nodes.take(self.frontier.size, stored.id, leaf)
        self.frontier.append(leaf)
        self.digests[(entry.table, entry.key)] = entry.digest
        self._compare()

    def _compare(self) -> None:
        size = self.frontier.size
        if size not in self.wanted:
            return
        root = self.frontier.root().hex()
        for where, each in self.wanted[size]:
            if each.root != root:
                self.broken.append(
                    f"the first {size} entries of the log are not those of {_named(where, each)}."
                )


def _rows(production: UUID) -> models.QuerySet[Checkpoint]:
    return Checkpoint.objects.filter(production=production).order_by("size")


def _named(where: str, each: Stated) -> str:
    return f"the checkpoint {where} of {each.at[:16]} UTC ({each.code})"


def _signatures(own: list[Stated], key: Key | None, where: str = "") -> Iterator[str]:
    keys = [each.public_key for each in own if each.public_key]
    for each in own:
        named = f"the checkpoint {where}of {each.at[:16]} UTC ({each.code})"
        if each.signature and not each.is_signed():
            yield f"{named} is not what was signed."
        elif not each.signature and keys and each.size > _first_signed(own):
            yield f"{named} is unsigned, and one before it is signed."
        elif where and key and each.public_key and each.public_key != key.public:
            yield (
                f"{named} is signed by another key ({name_of_key(each.public_key)}) than that of "
                f"this server ({name_of_key(key.public)})."
            )
        if not each.protected:
            yield f"{named} says that triggers were missing or changed when it was made."
    if not where and key and keys and keys[-1] != key.public and key.public in keys:
        yield "the newest checkpoints on file are signed by another key than this server’s."


def _first_signed(own: list[Stated]) -> int:
    return min(each.size for each in own if each.signature)


class _Marks:
    """Whether entries bear the mark of this server: from the first that does, or the first
    checkpoint that it signed, on."""

    def __init__(self, production: UUID, key: Key | None, checkpoints: list[Stated]) -> None:
        self.production, self.key = production, key
        self.begun = False
        self.broken: list[str] = []
        signed = [c for c in checkpoints if c.is_signed()]
        self.since = min((c.size for c in signed if key and c.public_key == key.public), default=-1)

    def take(self, index: int, stored: Stored) -> None:
        if self.key is None:
            return
        body = marked(self.production, stored.entry)
        if self.key.mark(body) == stored.mark:
            self.begun = True
        elif self.begun or 0 <= self.since <= index:
            self.broken.append(
                f"entry {index} ({stored.entry.table} {stored.entry.key}) was not written by this "
                "service: it has not its mark."
            )


class _Nodes:
    """Whether what is kept so that proofs are quick follows from the entries."""

    def __init__(self, production: UUID) -> None:
        rows = LogNode.objects.filter(production=production)
        self.kept = {
            number: (bytes(root), last)
            for number, root, last in rows.values_list("number", "root", "last")
        }
        self.block: Frontier | None = None
        self.broken: list[str] = []

    def take(self, index: int, pk: int, leaf: bytes) -> None:
        number, place = divmod(index, SIZE)
        if place == 0:
            self.block = Frontier()
        if self.block is None:  # begun in the middle of one
            return
        self.block.append(leaf)
        if place == SIZE - 1 and self.kept.get(number, own := (self.block.root(), pk)) != own:
            self.broken.append(f"node {number} of the tree of the log is not that of its entries.")


# Records


def _records(
    production: UUID, digests: dict[tuple[str, str], bytes], *, only_named: bool
) -> Iterator[str]:
    waiting = {name: digest for name, digest in digests.items() if digest}
    tables = {shape.table: model for model, shape in shapes().items()}
    for model, shape in shapes().items():
        if only_named and not any(table == shape.table for table, _ in waiting):
            continue
        for row, salt in _stored(model, shape, production):
            digest = waiting.pop((shape.table, row.key), None)
            words = _record(
                model, shape, row, digest, salt, known=(shape.table, row.key) in digests
            )
            if words and not (only_named and digest is None):
                yield words
    for table, key in sorted(waiting):
        what = tables[table]._meta.verbose_name if table in tables else table
        yield f"{what} {key} is in the log, and gone without a word."


def _stored(model: Model, shape: Shape, production: UUID) -> Iterator[tuple[Row, str]]:
    """Each record, with the salt of its texts."""
    rows = models.QuerySet[Any](model=model).filter(**{shape.production: production})
    waiting = read(model, rows.order_by("pk"))
    while batch := list(islice(waiting, _AT_ONCE)):
        salts = {}
        if any(row.texts for row in batch):
            held = LogSalt.objects.filter(
                production=production, table=shape.table, key__in=[row.key for row in batch]
            )
            salts = dict(held.values_list("key", "salt"))
        for row in batch:
            yield row, salts.get(row.key, "")


def _record(
    model: Model, shape: Shape, row: Row, digest: bytes | None, salt: str, *, known: bool
) -> str:
    what = f"{model._meta.verbose_name} {row.key}"
    if digest is None:
        said = "was deleted, says the log" if known else "is not in the log"
        return f"{what} {said}, and is there."
    try:
        same = digest_of(shape, row, salt) == digest
    except ValueError:  # texts without their salt
        same = False
    return "" if same else f"{what} is not what was written: the log says otherwise."


def since_last(production: UUID, tables: set[str]) -> set[str]:
    """Keys of records of `tables` that entries name since the last signed checkpoint."""
    last = newest(production)
    rows = LogEntry.objects.filter(production=production, table__in=tables)
    if last is not None and stated(last).is_signed():
        rows = rows.filter(pk__gt=id_at(production, last.size))
    return set(rows.values_list("key", flat=True))
