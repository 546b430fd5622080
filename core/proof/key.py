"""The key of this server: a file outside the database, by which checkpoints are signed.

Ed25519 (RFC 8032). From the same file comes the key of the marks on entries (HKDF, RFC 5869), so
that whoever writes into the database without it is found before the next checkpoint, too.
"""

from __future__ import annotations

import hashlib
import hmac
import logging
import os
import stat
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

logger = logging.getLogger(__name__)

_MARKS = b"toneledger marks on entries 1"
MARK_BYTES = 16
SEED_BYTES = 32


class KeyUnusable(Exception):
    """There is a path to a key, and no key that may be used there. The message says why."""


class Key(NamedTuple):
    """`public` is hexadecimal."""

    public: str
    private: Ed25519PrivateKey
    marks: bytes

    def sign(self, text: bytes) -> str:
        """The signature of `text`, hexadecimal."""
        return self.private.sign(text).hex()

    def mark(self, text: bytes) -> bytes:
        """What nobody without the key can put on `text`: HMAC-SHA-256, its first 128 bits."""
        return hmac.digest(self.marks, text, "sha256")[:MARK_BYTES]


def server_key() -> Key | None:
    """The key of this server; None where none is set. Raises KeyUnusable."""
    return _at(settings.SIGNING_KEY) if settings.SIGNING_KEY else None


def key_if_usable() -> Key | None:
    """The key of this server, or None, with a word in the log where it cannot be used.

    For writing: a file that somebody moved must not keep a crew from its notebook. Entries without
    a mark are named by `verify`.
    """
    try:
        return server_key()
    except KeyUnusable as error:
        logger.error("%s", error)
        return None


@cache
def _at(path: Path) -> Key:
    try:
        mode, text = path.stat().st_mode, path.read_text()
    except OSError as error:
        raise KeyUnusable(
            f"The signing key {path} cannot be read ({error.strerror}). Make one with "
            "manage.py signing_key, or leave TONELEDGER_SIGNING_KEY empty."
        ) from None
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise KeyUnusable(f"The signing key {path} may be read by others: chmod 600 it.")
    try:
        return of(bytes.fromhex(text.strip()))
    except ValueError:
        raise KeyUnusable(f"The signing key {path} is not what signing_key writes.") from None


def of(seed: bytes) -> Key:
    """The key of 32 bytes. Raises ValueError for another length."""
    private = Ed25519PrivateKey.from_private_bytes(seed)
    marks = HKDF(algorithm=SHA256(), length=32, salt=None, info=_MARKS).derive(seed)
    return Key(private.public_key().public_bytes_raw().hex(), private, marks)


def make(path: Path) -> Key:
    """Write a new key that its owner alone may read. Raises FileExistsError or another OSError."""
    seed = os.urandom(SEED_BYTES)
    # Made with its mode, so that nobody can open it before the mode is set.
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
        file.write(seed.hex() + "\n")
    return of(seed)


def signed_by(public: str, signature: str, text: bytes) -> bool:
    """Whether `signature` of `text` is by the holder of the key whose public half is `public`."""
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(
            bytes.fromhex(signature), text
        )
    except (InvalidSignature, ValueError):
        return False
    return True


def name_of_key(public: str) -> str:
    """How people tell one key from another: the first 16 digits of its SHA-256."""
    digest = hashlib.sha256(bytes.fromhex(public)).hexdigest()
    return " ".join(digest[at : at + 4] for at in range(0, 16, 4))
