"""Checkpoints: how long the log of a production is, the root of its tree, signed and dated."""

from __future__ import annotations

from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.utils.translation import gettext as _

from core import clock
from core.append_only import unprotected
from core.models.proof import Checkpoint, LogEntry
from core.proof.code import short_code
from core.proof.entries import entries_of, settled
from core.proof.key import key_if_usable, signed_by
from core.proof.merkle import Frontier, consistency_proof, inclusion_proof
from core.proof.nodes import Tree, id_at, keep, place_of
from core.tables import to_json

Why = Checkpoint.Why
_SOON_S = 0.5  # somebody waits for the answer to what they signed
HEADING = "toneledger checkpoint 1"


class Stated(NamedTuple):
    """What a checkpoint states, wherever it is kept. `production` and `at` are text."""

    production: str
    size: int
    root: str
    at: str
    protected: bool
    public_key: str = ""
    signature: str = ""

    def text(self) -> bytes:
        """What is signed: five lines, UTF-8, each ended by a line feed."""
        protected = "protected" if self.protected else "unprotected"
        lines = [HEADING, self.production, f"{self.size} {self.root}", self.at, protected]
        return "".join(f"{line}\n" for line in lines).encode()

    @property
    def code(self) -> str:
        return short_code(self.size, self.root)

    def is_signed(self) -> bool:
        """Whether its own key signed it; whose key that is, is another question."""
        return bool(self.signature) and signed_by(self.public_key, self.signature, self.text())

    def as_json(self) -> dict[str, Any]:
        return {**self._asdict(), "format": HEADING, "code": self.code}


def stated(row: Checkpoint) -> Stated:
    """What is on file as a checkpoint."""
    return Stated(
        str(row.production_id),
        row.size,
        row.root,
        str(to_json(row.at)),
        row.protected,
        row.public_key,
        row.signature,
    )


def newest(production: UUID) -> Checkpoint | None:
    return Checkpoint.objects.filter(production=production).order_by("-size").first()


def code_of(production: UUID) -> str:
    """The code of the newest checkpoint; empty where there is none."""
    last = newest(production)
    return short_code(last.size, last.root) if last else ""


def code_since(production: UUID, at: datetime) -> str:
    """The code of the first checkpoint at `at` or later, which has what was written by then.

    Always the same once it is there; empty until then.
    """
    rows = Checkpoint.objects.filter(production=production, at__gte=at).order_by("size")
    first = rows.first()
    return short_code(first.size, first.root) if first else ""


def stamp_of(production: UUID, at: datetime, *known: str) -> str:
    """The line of a print by which it is known again, with that code once there is one."""
    code = code_since(production, at)
    logged = [_("log {code}").format(code=code)] if code else []
    return " · ".join([*known, *logged])


def take(production: UUID, why: str, patience_s: float = 5) -> Checkpoint | None:
    """A checkpoint of now; the last one where nothing was written since, None where nothing ever.

    Outside of a transaction that wrote into the log. Raises Busy where others wrote all the while.
    """
    last, until = newest(production), settled(production, patience_s)
    frontier = frontier_of(last)
    for each in entries_of(production, after=id_at(production, frontier.size), until=until):
        frontier.append(each.entry.leaf())
    if last is not None and last.size == frontier.size:
        return last
    keep(production, frontier.size)
    return _put_on_record(production, frontier, why) if frontier.size else None


def frontier_of(checkpoint: Checkpoint | None) -> Frontier:
    """The tree as of a checkpoint, to go on from."""
    if checkpoint is None:
        return Frontier()
    return Frontier(checkpoint.size, map(bytes.fromhex, checkpoint.peaks.split()))


def _put_on_record(production: UUID, frontier: Frontier, why: str) -> Checkpoint:
    at, root = clock.now(), frontier.root().hex()
    made = Stated(str(production), frontier.size, root, at=to_json(at), protected=_is_protected())
    key = key_if_usable()
    try:
        with transaction.atomic():
            return Checkpoint.objects.create(
                production_id=production,
                size=made.size,
                root=made.root,
                peaks=" ".join(peak.hex() for peak in frontier.peaks),
                at=at,
                why=why,
                protected=made.protected,
                public_key=key.public if key else "",
                signature=key.sign(made.text()) if key else "",
            )
    except IntegrityError:  # somebody else made the same one meanwhile
        return Checkpoint.objects.get(production=production, size=made.size)


def _is_protected() -> bool:
    return not unprotected(connection)


def soon(production: UUID, why: str) -> None:
    """Take a checkpoint once the transaction of now has ended.

    What fails then undoes nothing: the entries are there, and the next checkpoint has them.
    """
    transaction.on_commit(lambda: take(production, why, _SOON_S), robust=True)


def leaves_of(production: UUID, size: int) -> list[bytes]:
    """The hashes of the first `size` entries."""
    last = id_at(production, size)
    return [each.entry.leaf() for each in entries_of(production, until=last)] if last else []


def consistency(production: UUID, first: int, second: int) -> list[str]:
    """The proof (RFC 9162) that the tree of `second` entries begins with that of `first`.

    Hashes, hexadecimal. Raises ValueError where there are no such trees.
    """
    proof = consistency_proof(first, second, Tree(production, second).root)
    return [step.hex() for step in proof]


def inclusion(production: UUID, index: int, size: int) -> tuple[str, list[str]]:
    """The hash of entry `index`, from 0, and the proof (RFC 9162) that the tree of `size` has it.

    Hexadecimal. Raises ValueError where there is no such entry.
    """
    if not 0 <= index < size:
        raise ValueError(f"There is no entry {index} in a log of {size} entries.")
    tree = Tree(production, size)
    proof = inclusion_proof(index, size, tree.root)
    return tree.leaf(index).hex(), [step.hex() for step in proof]


def newest_place(production: UUID, table: str, key: str, size: int) -> tuple[int, datetime] | None:
    """Where the first `size` entries tell of a record last: the index from 0, and the moment."""
    log = LogEntry.objects.filter(production=production)
    told = log.filter(table=table, key=key, pk__lte=id_at(production, size)).order_by("pk").last()
    return (place_of(production, told.pk), told.at) if told else None
