"""Digests against published vectors: FIPS 180-4 for SHA-256, RFC 8785 for canonical JSON."""

from __future__ import annotations

import pytest

from rigs.changes.chain import canonical, pack, sha256, unpack


@pytest.mark.parametrize(
    ("text", "digest"),
    [
        # NIST, FIPS 180-4 example values for SHA-256 (one-block, two-block, empty message).
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    ],
)
def test_sha256_vectors(text: bytes, digest: str) -> None:
    assert sha256(text) == digest


def test_rfc_8785_section_3_2_3_sorting() -> None:
    """Property names sort by UTF-16 code units (RFC 8785, section 3.2.3)."""
    value = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    expected = (
        '{"\\r":"Carriage Return","1":"One","\u0080":"Control",'
        '"\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign",'
        '"\U0001f600":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
    )
    assert canonical(value) == expected.encode()


def test_rfc_8785_section_3_2_2_literals_and_escapes() -> None:
    """The worked example of RFC 8785, section 3.2.2 (without its non-integer numbers, which no
    snapshot holds)."""
    value = {
        "string": '\u20ac$\u000f\nA\'B"\\\\"/',
        "literals": [None, True, False],
    }
    expected = '{"literals":[null,true,false],"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    assert canonical(value) == expected.encode()


def test_a_packed_state_comes_back_and_is_the_same_bytes_each_time() -> None:
    state = {"b": {"kind": "unit", "name": "ü"}, "a": {"kind": "rig"}}
    assert unpack(pack(state)) == state
    assert pack(state) == pack(dict(reversed(state.items())))


def test_damaged_bytes_are_said_to_be_damaged() -> None:
    with pytest.raises(ValueError, match="damaged"):
        unpack(pack({"a": {"kind": "rig"}})[:-3])
