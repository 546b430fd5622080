"""Channels of a desk and lines of a stage box, as inputs name them. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable


def used_twice(channels: Iterable[int | None]) -> list[int]:
    """The channels that stand for more than one input, ascending; None is no channel."""
    counted = Counter(channel for channel in channels if channel is not None)
    return sorted(channel for channel, count in counted.items() if count > 1)


def numbered_line(words: str) -> str:
    """A cable or line of a stage box, to be compared; empty for words without a number, which
    name a box or a place that many inputs may share."""
    line = " ".join(words.casefold().split())
    return line if any(letter.isdigit() for letter in line) else ""
