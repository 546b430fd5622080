"""Timestamps after RFC 3161: somebody outside says that a checkpoint was there at a moment.

What is stamped is what is signed (`Stated.text`). The answer of the authority is kept beside the
checkpoint, in its file: in the database it would be of no use against who holds that.
The protocol is the library's, which is loaded when it is used: rfc3161-client.
"""

from __future__ import annotations

import base64
import urllib.request
from collections.abc import Iterable
from datetime import datetime
from http.client import HTTPException
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from cryptography import x509

from core.proof.checkpoints import Stated

PATIENCE_S = 20
# The answers of authorities have some kilobytes: a signature and a few certificates.
LONGEST = 100_000
MISSING = "Timestamps need the package rfc3161-client: pip install 'toneledger[timestamps]'."


class NoTimestamp(Exception):
    """There is none, or it does not hold; says why."""


class _NoFurther(urllib.request.HTTPRedirectHandler):
    """Nobody but whom the caller named is asked: a redirect is an error."""

    def redirect_request(self, *_: Any) -> None:
        return None


_asking = urllib.request.build_opener(_NoFurther)


def _library() -> Any:
    try:
        import rfc3161_client
    except ImportError:
        raise NoTimestamp(MISSING) from None
    return rfc3161_client


def ask(checkpoint: Stated, authority: str) -> str:
    """What the authority at that address answers for `checkpoint`: DER, in Base64.

    By HTTP, as RFC 3161, section 3.4 has it. Raises NoTimestamp.
    """
    library = _library()
    if urlsplit(authority).scheme not in ("http", "https"):
        raise NoTimestamp(f"{authority} is no address of the web.")
    asked = library.TimestampRequestBuilder().data(checkpoint.text()).build()
    request = urllib.request.Request(  # noqa: S310
        authority, asked.as_bytes(), {"Content-Type": "application/timestamp-query"}
    )
    try:
        with _asking.open(request, timeout=PATIENCE_S) as answer:
            said = answer.read(LONGEST)
        found = library.decode_timestamp_response(said)
    except (OSError, HTTPException, ValueError) as error:
        raise NoTimestamp(f"{authority} gave no timestamp ({error}).") from None
    if found.status != library.PKIStatus.GRANTED:
        raise NoTimestamp(f"{authority} refused: {', '.join(found.status_string) or found.status}.")
    if found.tst_info.nonce != asked.nonce:
        raise NoTimestamp(f"{authority} answered another question.")
    return base64.b64encode(said).decode()


def stamped_at(checkpoint: Stated, answer: str, roots: Iterable[x509.Certificate]) -> datetime:
    """When the authority saw `checkpoint`, by an answer that one of `roots` vouches for.

    Raises NoTimestamp.
    """
    library = _library()
    try:
        found = library.decode_timestamp_response(base64.b64decode(answer, validate=True))
    except ValueError as error:
        raise NoTimestamp(f"it cannot be read ({error})") from None
    verifier = library.VerifierBuilder(roots=list(roots)).build()
    try:
        verifier.verify_message(found, checkpoint.text())
    except library.VerificationError as error:
        raise NoTimestamp(str(error)) from None
    said: datetime = found.tst_info.gen_time
    return said


def read_roots(path: Path) -> list[x509.Certificate]:
    """The certificates in a PEM file. Raises NoTimestamp."""
    try:
        return x509.load_pem_x509_certificates(path.read_bytes())
    except (OSError, ValueError) as error:
        raise NoTimestamp(f"{path} holds no certificate in PEM ({error}).") from None
