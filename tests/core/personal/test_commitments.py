"""Salted commitments: what they are, that they bind, and that they tell nothing alone.

Outside the project: the digest is made by sha256sum of GNU coreutils, over bytes that are spelt out
here from the documentation. The normalisation is Unicode Standard Annex 15: U+00E9 and U+0065
U+0301 are canonically equivalent (UAX 15, figure 3).
"""

from __future__ import annotations

import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.personal.commitments import (
    commitment,
    committed_in,
    new_salt,
    opens,
    reference,
)

SALT = "000102030405060708090a0b0c0d0e0f"
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


def test_it_is_the_sha_256_of_tag_salt_and_text() -> None:
    # printf 'toneledger personal text 1\0' and the sixteen bytes and the text, by another program.
    told = b"toneledger personal text 1\0" + bytes(range(16)) + b"Weir"
    out = subprocess.run(["sha256sum"], input=told, capture_output=True, check=True).stdout
    assert commitment("Weir", SALT) == out.split()[0].decode()


def test_spellings_that_unicode_calls_equal_are_one_text() -> None:
    composed, apart = "Ren\u00e9", "Rene\u0301"
    assert composed != apart
    assert commitment(composed, SALT) == commitment(apart, SALT)


@given(texts)
def test_what_was_committed_opens_it(text: str) -> None:
    salt = new_salt()
    assert opens(commitment(text, salt), text, salt)


@given(texts, texts)
def test_another_text_or_another_salt_does_not(one: str, other: str) -> None:
    salt = new_salt()
    made = commitment(one, salt)
    assert not opens(made, one + "x", salt)
    assert not opens(made, one, new_salt())
    # The end of a salt can never be read as the beginning of a text.
    assert commitment("a" + other, salt) != commitment(other, salt)


@pytest.mark.parametrize("salt", ["", "00", SALT + "00", "zz" * 16])
def test_a_salt_of_another_length_is_refused(salt: str) -> None:
    with pytest.raises(ValueError):
        commitment("Weir", salt)
    assert not opens("0" * 64, "Weir", salt)


def test_salts_have_128_bits_and_are_never_alike() -> None:
    salts = {new_salt() for _ in range(1000)}
    assert len(salts) == 1000
    assert all(len(bytes.fromhex(salt)) * 8 == 128 for salt in salts)


def test_a_reference_leads_back_and_a_text_is_none() -> None:
    made = commitment("Weir", SALT)
    assert committed_in(reference(made)) == made
    for text in (
        "",
        "Weir",
        "sealed-1:",
        "sealed-1:xyz",
        reference(made) + "0",
        reference(made[1:]),
    ):
        assert committed_in(text) is None
