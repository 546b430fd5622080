"""Salted commitments to texts. Pure.

A commitment is SHA-256 over a domain tag, a random salt of 128 bits and the text in Unicode
normalisation form C, as UTF-8:

    SHA-256( "toneledger personal text 1" 0x00 | salt (16 bytes) | NFC(text) )

What is never removed (a row of a history, a digest over it, an archive) holds the commitment; the
text and its salt are kept apart (core.personal.store). While both are there, anybody can check that
the text is the one that was written. Once they are deleted, the commitment tells nothing: names are
few and could be tried one after the other, but not together with 128 random bits (the salted
commitment is hiding as long as SHA-256 behaves as a random function, and binding as long as no two
inputs with one digest are found). The tag keeps a digest made for something else from passing as
one of these; tag and salt have fixed lengths, so that no text can take the place of a salt.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import unicodedata

TAG = b"toneledger personal text 1\x00"
SALT_BYTES = 16
# How a column or a digested document refers to a text that is kept apart.
PREFIX = "sealed-1:"
_REFERENCE = re.compile(r"sealed-1:[0-9a-f]{64}")


def new_salt() -> str:
    """128 bits from the system's generator, as 32 hexadecimal digits."""
    return secrets.token_hex(SALT_BYTES)


def commitment(text: str, salt: str) -> str:
    """The commitment to `text`, as 64 hexadecimal digits. `salt` is 32 of them.

    Raises ValueError for another salt.
    """
    raw = bytes.fromhex(salt)
    if len(raw) != SALT_BYTES:
        raise ValueError(f"A salt has {SALT_BYTES} bytes; this one has {len(raw)}.")
    return hashlib.sha256(TAG + raw + unicodedata.normalize("NFC", text).encode()).hexdigest()


def opens(committed: str, text: str, salt: str) -> bool:
    """Whether `text` and `salt` are what `committed` was made of."""
    try:
        return hmac.compare_digest(commitment(text, salt), committed)
    except ValueError:
        return False


def reference(committed: str) -> str:
    """What stands in place of the text: `sealed-1:` and the commitment."""
    return PREFIX + committed


def committed_in(value: str) -> str | None:
    """The commitment that `value` refers to; None where it is a text and no reference."""
    return value[len(PREFIX) :] if _REFERENCE.fullmatch(value) else None
