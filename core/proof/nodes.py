"""The tree of a log without reading all of it: roots of 256 entries each are kept.

A proof then reads one hash for 256 entries, and the entries themselves at the ragged end alone.
What is kept follows from the entries; `verify` makes it anew and compares. A proof that was made
from something else does not lead to the root that somebody has, so no reader has to trust it.
"""

from __future__ import annotations

from itertools import islice
from uuid import UUID

from django.db import transaction

from core.models.proof import LogEntry, LogNode
from core.proof.entries import entries_of
from core.proof.merkle import Frontier, root_of, root_over

SIZE = 256  # entries below a node that is kept: a power of two


def id_at(production: UUID, size: int) -> int:
    """The id of the last of the first `size` entries; 0 before the first."""
    if not size:
        return 0
    whole, rest = divmod(size, SIZE)
    node = LogNode.objects.filter(production=production, number=whole - 1).first()
    after = node.last if node else 0
    if node and not rest:
        return after
    rows = LogEntry.objects.filter(production=production, pk__gt=after).order_by("pk")
    skipped = (rest if node else size) - 1
    return int(next(iter(rows.values_list("pk", flat=True)[skipped : skipped + 1]), 0))


def place_of(production: UUID, pk: int) -> int:
    """How many entries of `production` have a smaller id than `pk`."""
    nodes = LogNode.objects.filter(production=production, last__lt=pk)
    node = nodes.order_by("-number").first()
    before, after = ((node.number + 1) * SIZE, node.last) if node else (0, 0)
    rest = LogEntry.objects.filter(production=production, pk__gt=after, pk__lt=pk)
    return before + rest.count()


def keep(production: UUID, size: int) -> None:
    """Keep the nodes over the first `size` entries that are not kept yet."""
    last = LogNode.objects.filter(production=production).order_by("-number").first()
    have, after = (last.number + 1, last.last) if last else (0, 0)
    missing = size // SIZE - have
    entries = islice(entries_of(production, after=after), max(missing, 0) * SIZE)
    made = []
    for number in range(have, have + missing):
        block = list(islice(entries, SIZE))
        root = root_of(each.entry.leaf() for each in block)
        made.append(LogNode(production_id=production, number=number, root=root, last=block[-1].id))
    with transaction.atomic():
        # Somebody else may have made the same ones meanwhile.
        LogNode.objects.bulk_create(made, batch_size=1000, ignore_conflicts=True)


class Tree:
    """The tree of the first `size` entries of a production.

    Raises ValueError where there are fewer.
    """

    def __init__(self, production: UUID, size: int) -> None:
        self.production, self.size = production, size
        rows = LogNode.objects.filter(production=production, number__lt=size // SIZE)
        kept = list(rows.order_by("number").values_list("root", "last"))
        self.roots = [bytes(root) for root, _ in kept]
        # The ids between which the entries of each node stand.
        self.ends = [0, *(last for _, last in kept)]
        self.kept = len(kept) * SIZE
        last = id_at(production, size)
        self.rest = self._read(self.ends[-1], last) if last else []
        self.blocks: dict[int, list[bytes]] = {}
        if self.kept + len(self.rest) != size:
            raise ValueError(f"The log does not have {size} entries.")

    def leaf(self, index: int) -> bytes:
        """The hash of entry `index`, from 0."""
        return self._leaves(index, index + 1)[0]

    def root(self, start: int, end: int) -> bytes:
        """The root over the entries from `start` up to `end`, which either lie in one node or begin
        with one: in a proof, `start` is a multiple of a power of two that is not below their
        number."""
        first, after = -(-start // SIZE), min(end, self.kept) // SIZE
        if after <= first:
            return root_of(self._leaves(start, end))
        whole, ragged = Frontier(), Frontier()
        for node in self.roots[first:after]:
            whole.append(node)
        for leaf in self._leaves(after * SIZE, end):
            ragged.append(leaf)
        return root_over([*whole.peaks, *ragged.peaks])

    def _leaves(self, start: int, end: int) -> list[bytes]:
        if start >= self.kept:
            return self.rest[start - self.kept : end - self.kept]
        number, place = divmod(start, SIZE)
        return self._block(number)[place : place + end - start]

    def _block(self, number: int) -> list[bytes]:
        if number not in self.blocks:
            self.blocks[number] = self._read(*self.ends[number : number + 2])
        return self.blocks[number]

    def _read(self, after: int, until: int) -> list[bytes]:
        return [each.entry.leaf() for each in entries_of(self.production, after=after, until=until)]
