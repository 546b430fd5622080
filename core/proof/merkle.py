"""Merkle trees, inclusion and consistency proofs after RFC 9162, section 2.1. Pure.

A hash is 32 bytes of SHA-256. A leaf is hashed after the byte 0x00 and an inner node after 0x01, so
that neither can be taken for the other. The tree of n leaves is split at the largest power of two
below n.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence

# The root of the tree over the leaves from one place up to another, both counted from 0, the latter
# not among them.
Roots = Callable[[int, int], bytes]

EMPTY = hashlib.sha256(b"").digest()


def leaf_hash(data: bytes) -> bytes:
    """The hash of an entry."""
    return hashlib.sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """The hash of a node above two hashes."""
    return hashlib.sha256(b"\x01" + left + right).digest()


class Frontier:
    """The roots of the complete trees that a growing list consists of, the largest first.

    All that is needed to append more, and to tell the root: at most one hash a binary digit of the
    size.
    """

    def __init__(self, size: int = 0, peaks: Iterable[bytes] = ()) -> None:
        self.size, self.peaks = size, list(peaks)
        if len(self.peaks) != size.bit_count():
            raise ValueError(f"a tree of {size} leaves has {size.bit_count()} peaks")

    def append(self, leaf: bytes) -> None:
        """Add the hash of one more leaf."""
        self.size += 1
        # Each trailing zero of the new size is two trees of equal height that became one.
        for _ in range((self.size & -self.size).bit_length() - 1):
            leaf = node_hash(self.peaks.pop(), leaf)
        self.peaks.append(leaf)

    def root(self) -> bytes:
        """The hash of the whole tree; that of no bytes where it has no leaf."""
        return root_over(self.peaks)


def root_over(peaks: Sequence[bytes]) -> bytes:
    """The hash of the tree that consists of complete trees, the largest first."""
    if not peaks:
        return EMPTY
    root = peaks[-1]
    for peak in reversed(peaks[:-1]):
        root = node_hash(peak, root)
    return root


def root_of(leaves: Iterable[bytes]) -> bytes:
    """The hash of the tree over hashes of leaves."""
    frontier = Frontier()
    for leaf in leaves:
        frontier.append(leaf)
    return frontier.root()


def _split(size: int) -> int:
    """The largest power of two below `size`, which is at least 2."""
    return 1 << (size - 1).bit_length() - 1


def inclusion_proof(index: int, size: int, roots: Roots) -> list[bytes]:
    """The hashes by which leaf `index` leads to the root of `size` leaves (RFC 9162, 2.1.3.1).

    Raises IndexError where there is no such leaf.
    """
    if not 0 <= index < size:
        raise IndexError(f"there is no leaf {index} in a tree of {size}")
    proof: list[bytes] = []
    start, end = 0, size
    while end - start > 1:
        middle = start + _split(end - start)
        if index < middle:
            proof.append(roots(middle, end))
            end = middle
        else:
            proof.append(roots(start, middle))
            start = middle
    return proof[::-1]


def consistency_proof(first: int, size: int, roots: Roots) -> list[bytes]:
    """The hashes that show that the first `first` of `size` leaves are still there (RFC 9162,
    2.1.4.1).

    Raises ValueError unless `first` lies between 1 and `size`.
    """
    if not 0 < first <= size:
        raise ValueError(f"a tree of {size} leaves did not grow from one of {first}")
    proof: list[bytes] = []
    start, end = 0, size
    while first < end:
        middle = start + _split(end - start)
        if first <= middle:
            proof.append(roots(middle, end))
            end = middle
        else:
            proof.append(roots(start, middle))
            start = middle
    if start:  # else it is the root of `first` leaves, which the reader has
        proof.append(roots(start, end))
    return proof[::-1]


def includes(leaf: bytes, index: int, size: int, proof: Sequence[bytes], root: bytes) -> bool:
    """Whether `proof` leads from the hash of leaf `index` to `root` (RFC 9162, 2.1.3.2)."""
    if not 0 <= index < size:
        return False
    at, last, found = index, size - 1, leaf
    for step in proof:
        if last == 0:
            return False
        if at & 1 or at == last:
            found = node_hash(step, found)
            while at and not at & 1:
                at, last = at >> 1, last >> 1
        else:
            found = node_hash(found, step)
        at, last = at >> 1, last >> 1
    return last == 0 and found == root


def grew(
    first: int, first_root: bytes, second: int, second_root: bytes, proof: Sequence[bytes]
) -> bool:
    """Whether the tree of size `second` begins with that of size `first` (RFC 9162, 2.1.4.2)."""
    if first == second:
        return not proof and first_root == second_root
    if not 0 < first < second or not proof:
        return False
    # A complete tree is a node of the larger one, so that its root need not be sent.
    steps = list(proof) if first & (first - 1) else [first_root, *proof]
    at, last = first - 1, second - 1
    while at & 1:
        at, last = at >> 1, last >> 1
    old = new = steps[0]
    for step in steps[1:]:
        if last == 0:
            return False
        if at & 1 or at == last:
            old, new = node_hash(step, old), node_hash(step, new)
            while at and not at & 1:
                at, last = at >> 1, last >> 1
        else:
            new = node_hash(new, step)
        at, last = at >> 1, last >> 1
    return last == 0 and old == first_root and new == second_root
