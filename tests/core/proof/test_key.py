"""The key: known signatures, who may read the file, what is said where it cannot be used."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.management import CommandError, call_command

from core.proof import key

# RFC 8032, section 7.1, tests 1 to 3: secret key, public key, message, signature (from memory,
# and confirmed by a library that was written by others).
RFC_8032 = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555"
        "fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
        "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), RFC_8032)
def test_signatures_are_those_of_rfc_8032(
    secret: str, public: str, message: str, signature: str
) -> None:
    made = key.of(bytes.fromhex(secret))
    assert made.public == public
    assert made.sign(bytes.fromhex(message)) == signature
    assert key.signed_by(public, signature, bytes.fromhex(message))
    assert not key.signed_by(public, signature, bytes.fromhex(message) + b"x")


def test_the_command_makes_a_key_for_its_owner_alone(
    tmp_path: Path, settings: LazySettings
) -> None:
    settings.SIGNING_KEY = tmp_path / "key"
    call_command("signing_key")
    assert stat.S_IMODE(settings.SIGNING_KEY.stat().st_mode) == 0o600
    found = key.server_key()
    assert found is not None
    with pytest.raises(CommandError, match="stays as it is"):
        call_command("signing_key")
    assert key.server_key() == found


def test_a_key_that_others_may_read_is_refused(signed: key.Key, settings: LazySettings) -> None:
    key._at.cache_clear()
    settings.SIGNING_KEY.chmod(0o640)
    with pytest.raises(key.KeyUnusable, match="may be read by others"):
        key.server_key()
    assert key.key_if_usable() is None


def test_what_is_no_key_is_refused(tmp_path: Path, settings: LazySettings) -> None:
    settings.SIGNING_KEY = tmp_path / "key"
    with pytest.raises(key.KeyUnusable, match="cannot be read"):
        key.server_key()
    settings.SIGNING_KEY.write_text("hello")
    settings.SIGNING_KEY.chmod(0o600)
    with pytest.raises(key.KeyUnusable, match="is not what signing_key writes"):
        key.server_key()
