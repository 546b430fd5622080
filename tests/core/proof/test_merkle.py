"""Trees and proofs against the vectors of Certificate Transparency, and against the definition."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.proof.merkle import (
    EMPTY,
    Frontier,
    Roots,
    consistency_proof,
    grew,
    includes,
    inclusion_proof,
    leaf_hash,
    root_of,
)


def words(text: str) -> list[str]:
    return text.split()


# The eight leaves, the roots of sizes 0 to 8 and the proofs that implementations of RFC 6962 test
# with (first published with the reference implementation of Certificate Transparency; the same in
# several libraries). RFC 9162 hashes in the same way.
LEAVES = ["", "00", "10", "2021", "3031", "40414243", "5051525354555657"]
LEAVES += ["606162636465666768696a6b6c6d6e6f"]
ROOTS = words("""
    e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855
    6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d
    fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125
    aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77
    d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7
    4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4
    76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef
    ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c
    5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328
    """)
INCLUSION = {
    0: words("""
        96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7
        5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e
        6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4
        """),
    5: words("""
        bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b
        ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0
        d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7
        """),
}
CONSISTENCY = {
    (2, 8): words("""
        5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e
        6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4
        """),
    (6, 8): words("""
        0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a
        ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0
        d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7
        """),
    (2, 5): words("""
        5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e
        bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b
        """),
}
HASHES = [leaf_hash(bytes.fromhex(leaf)) for leaf in LEAVES]


def roots_over(leaves: list[bytes]) -> Roots:
    return lambda start, end: root_of(leaves[start:end])


def defined(leaves: list[bytes]) -> bytes:
    """MTH of RFC 9162, section 2.1.1, word for word; not the way the program goes."""
    if not leaves:
        return hashlib.sha256().digest()
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    return hashlib.sha256(b"\x01" + defined(leaves[:k]) + defined(leaves[k:])).digest()


@pytest.mark.parametrize("size", range(9))
def test_roots_are_the_published_ones(size: int) -> None:
    assert root_of(HASHES[:size]).hex() == ROOTS[size]


def test_proofs_are_the_published_ones() -> None:
    for index, proof in INCLUSION.items():
        assert [step.hex() for step in inclusion_proof(index, 8, roots_over(HASHES))] == proof
    for (first, second), proof in CONSISTENCY.items():
        assert [
            step.hex() for step in consistency_proof(first, second, roots_over(HASHES))
        ] == proof


def test_the_tree_of_seven_is_proved_as_in_the_example_of_rfc_9162() -> None:
    """Section 2.1.5: the paths of d0, d3, d4, d6, and the proofs from 3, 4 and 6 to 7 leaves."""
    a, b, c, d, e, f, j = HASHES[:7]
    node = defined
    g, h, i, k = node([a, b]), node([c, d]), node([e, f]), node([a, b, c, d])
    l = node([e, f, j])  # noqa: E741 - as the RFC names it
    seven = HASHES[:7]
    assert inclusion_proof(0, 7, roots_over(seven)) == [b, h, l]
    assert inclusion_proof(3, 7, roots_over(seven)) == [c, g, l]
    assert inclusion_proof(4, 7, roots_over(seven)) == [f, j, k]
    assert inclusion_proof(6, 7, roots_over(seven)) == [i, k]
    assert consistency_proof(3, 7, roots_over(seven)) == [c, d, g, l]
    assert consistency_proof(4, 7, roots_over(seven)) == [l]
    assert consistency_proof(6, 7, roots_over(seven)) == [i, j, k]


@given(st.lists(st.binary(max_size=4), max_size=40), st.data())
def test_every_proof_holds_and_no_other(data: list[bytes], draw: st.DataObject) -> None:
    leaves = [leaf_hash(each) for each in data]
    frontier = Frontier()
    for leaf in leaves:
        frontier.append(leaf)
    root = frontier.root()
    assert root == defined(leaves)
    if not leaves:
        assert root == EMPTY
        return
    size = len(leaves)
    index = draw.draw(st.integers(0, size - 1))
    proof = inclusion_proof(index, len(leaves), roots_over(leaves))
    assert includes(leaves[index], index, size, proof, root)
    assert not includes(leaf_hash(b"another"), index, size, proof, root)
    assert not includes(leaves[index], index, size, [*proof, EMPTY], root)
    first = draw.draw(st.integers(1, size))
    old, steps = defined(leaves[:first]), consistency_proof(first, len(leaves), roots_over(leaves))
    assert grew(first, old, size, root, steps)
    assert not grew(first, leaf_hash(b"another"), size, root, steps)
    assert not grew(first, old, size, leaf_hash(b"another"), steps)


@given(st.integers(0, 40), st.integers(0, 40))
def test_a_frontier_goes_on_where_it_stopped(before: int, after: int) -> None:
    leaves = [leaf_hash(bytes([n])) for n in range(before + after)]
    first = Frontier()
    for leaf in leaves[:before]:
        first.append(leaf)
    again = Frontier(first.size, first.peaks)
    for leaf in leaves[before:]:
        again.append(leaf)
    assert again.root() == root_of(leaves)


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(IndexError, match="there is no leaf 8 in a tree of 8"):
        inclusion_proof(8, 8, roots_over(HASHES))
    with pytest.raises(ValueError, match="did not grow from one of 9"):
        consistency_proof(9, 8, roots_over(HASHES))
    with pytest.raises(ValueError, match="a tree of 3 leaves has 2 peaks"):
        Frontier(3, [EMPTY])
