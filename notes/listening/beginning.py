"""What is known of where a sound begins: encoders that pack with loss put silence before it. Pure.

How much is theirs to say: 1024 samples in one AAC encoder, 2112 in another, 1105 and others with
MP3. A file may state it, and then readers take it off: an edit list (ISO/IEC 14496-12), the codec
delay of a WebM file, the pre-skip of Opus (RFC 7845), the gapless figures in an MP3's information
frame. Where nothing states it, the sound begins some 20 to 50 ms late, and nobody knows how much.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import Any


class Beginning(StrEnum):
    """EXACT: nothing is put before it. STATED: what was is stated and taken off."""

    EXACT = "exact"
    STATED = "stated"
    UNKNOWN = "unknown"


# Coded sample by sample, or in blocks that stand for themselves (libsndfile's and libav's names).
_EXACT = ("pcm_", "float", "double", "ulaw", "alaw", "ima_adpcm", "ms_adpcm", "alac", "flac")
# Both begin at the first sample by their own specification: Vorbis I, RFC 7845.
_BY_SPECIFICATION = ("vorbis", "opus", "libopus")
_SKIP = "skip_samples"  # what libav was told to leave out, and leaves out
# What readers of MP3 take off for their own filters, whatever the tag says (from memory; a real
# encoder whose tag says 0 comes out so much later than it was in the tests).
MP3_READER = 529


def by_coding(coding: str) -> Beginning | None:
    """What the coding alone says; None where it is the file that has to say it."""
    name = coding.lower()
    if name.startswith(_EXACT):
        return Beginning.EXACT
    return Beginning.STATED if name in _BY_SPECIFICATION else None


def by_first_packet(packets: Iterator[Any], beyond: int = 0) -> Beginning:
    """What is known by libav's packets: whether the first states how much of it is to be left out.

    No more than `beyond` samples are the reader's own and say nothing of the encoder: a tag that
    states 0 was left empty, since no encoder of transforms puts nothing before the sound.
    """
    first = next(packets, None)
    stated = first is not None and any(
        side.data_type == _SKIP and int.from_bytes(bytes(side)[:4], "little") > beyond
        for side in first.iter_sidedata()
    )
    return Beginning.STATED if stated else Beginning.UNKNOWN
