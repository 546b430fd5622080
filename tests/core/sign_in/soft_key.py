"""An authenticator in software, written from the W3C's Web Authentication, level 3 (sections 5.8.1,
6.1, 6.5 and 8.7), RFC 9052 (COSE) and RFC 8949 (CBOR), with the `cryptography` library. It shares
nothing with what the service checks answers with, CBOR included."""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
import struct
from dataclasses import dataclass, field
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


def b64(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def unb64(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def cbor(value: Any) -> bytes:
    """Maps, texts, bytes and whole numbers: all that is needed here."""
    if isinstance(value, int):
        return _head(0, value) if value >= 0 else _head(1, -1 - value)
    if isinstance(value, bytes):
        return _head(2, len(value)) + value
    if isinstance(value, str):
        return _head(3, len(value.encode())) + value.encode()
    return _head(5, len(value)) + b"".join(cbor(k) + cbor(v) for k, v in value.items())


def _head(major: int, number: int) -> bytes:
    if number < 24:
        return bytes([major << 5 | number])
    if number < 256:
        return bytes([major << 5 | 24, number])
    return bytes([major << 5 | 25]) + struct.pack(">H", number)


@dataclass
class SoftKey:
    origin: str = "http://testserver"
    host: str = "testserver"
    verifies: bool = True
    count: int = 0
    handle: bytes = b""
    key: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )
    id: bytes = field(default_factory=lambda: secrets.token_bytes(16))

    def make(self, options: dict[str, Any]) -> str:
        self.handle = unb64(options["user"]["id"])
        numbers = self.key.public_key().public_numbers()
        x, y = (n.to_bytes(32, "big") for n in (numbers.x, numbers.y))
        public = cbor({1: 2, 3: -7, -1: 1, -2: x, -3: y})
        attested = bytes(16) + struct.pack(">H", len(self.id)) + self.id + public
        data = self._data(ATTESTED) + attested
        return self._answer(
            {
                "clientDataJSON": b64(self._client("webauthn.create", options["challenge"])),
                "attestationObject": b64(cbor({"fmt": "none", "attStmt": {}, "authData": data})),
                "transports": ["internal"],
            }
        )

    def get(self, options: dict[str, Any], **other: Any) -> str:
        self.count += 1
        data = self._data()
        client = self._client("webauthn.get", options["challenge"])
        signature = self.key.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(SHA256()))
        answer = {"authenticatorData": data, "clientDataJSON": client, "signature": signature}
        answer |= {"userHandle": self.handle} | other
        return self._answer({name: b64(value) for name, value in answer.items()})

    def _data(self, more: int = 0) -> bytes:
        flags = PRESENT | (VERIFIED if self.verifies else 0) | more
        host = hashlib.sha256(self.host.encode()).digest()
        return host + struct.pack(">BI", flags, self.count)

    def _client(self, what: str, challenge: str) -> bytes:
        said = {"type": what, "challenge": challenge, "origin": self.origin, "crossOrigin": False}
        return json.dumps(said).encode()

    def _answer(self, response: dict[str, Any]) -> str:
        return json.dumps(
            {
                "id": b64(self.id),
                "rawId": b64(self.id),
                "type": "public-key",
                "response": response,
                "clientExtensionResults": {},
            }
        )
