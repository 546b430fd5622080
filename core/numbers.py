"""Whole numbers that an address or a form sends: of a change, of a version, of a page."""

from __future__ import annotations

_LONGEST = 9  # digits; every number of ours fits into 32 bits


def whole_number(text: str | None) -> int | None:
    """The number that `text` is, written in ASCII digits; None for any other text."""
    if text and text.isascii() and text.isdigit() and len(text) <= _LONGEST:
        return int(text)
    return None
