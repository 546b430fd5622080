"""Frequencies that a note's words name, so that a reading can say what the clips do there."""

from __future__ import annotations

import re
from typing import NamedTuple

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_RANGE = re.compile(rf"{_NUMBER}\s*(k(?:Hz)?|Hz)?\s*(?:–|-|to|and)\s*{_NUMBER}\s*(kHz|Hz)", re.I)
_SINGLE = re.compile(rf"{_NUMBER}\s*(kHz|Hz)\b", re.I)
# About one frequency: narrow enough to lie in the band of that name, whose edges follow powers of
# ten while its name is rounded.
_ABOUT = 2 ** (1 / 12)

# What people often mean by a word, in Hz. Common practice, no source, and never more than a hint.
OFTEN = (
    ("boom", 80, 250), ("mud", 160, 400), ("box", 300, 630),
    ("nasal", 800, 1600), ("nose", 800, 1600), ("honk", 800, 1600), ("clank", 2000, 4000),
    ("click", 2000, 5000), ("harsh", 2500, 5000), ("brittle", 3150, 8000), ("sting", 2500, 5000),
    ("hiss", 5000, 10000), ("shine", 6300, 16000), ("bright", 4000, 12500), ("body", 80, 315),
    ("thin", 80, 315), ("warm", 100, 400), ("dull", 4000, 12500),
)  # fmt: skip


class Named(NamedTuple):
    """Words as they stand in the note and the Hz they stand for; `often` marks a hint."""

    words: str
    low_hz: float
    high_hz: float
    often: bool = False


def named_in(text: str) -> list[Named]:
    """Ranges, single frequencies and common words for bands in `text`, each once, in that order."""
    found = [_range(match) for match in _RANGE.finditer(text)]
    rest = _RANGE.sub(" ", text)
    found += [_single(match) for match in _SINGLE.finditer(rest)]
    for stem, low, high in OFTEN:
        match = re.search(rf"\b{stem}\w*", rest, re.I)
        if match:
            found.append(Named(match[0].lower(), low, high, often=True))
    kept = [each for each in found if 10 <= each.low_hz < each.high_hz <= 24_000]
    return list(dict.fromkeys(kept))


def _range(match: re.Match[str]) -> Named:
    low, low_unit, high, unit = match.groups()
    first, last = _hz(low, low_unit or unit), _hz(high, unit)
    return Named(match[0], min(first, last), max(first, last))


def _single(match: re.Match[str]) -> Named:
    at = _hz(match[1], match[2])
    return Named(match[0], at / _ABOUT, at * _ABOUT)


def _hz(number: str, unit: str) -> float:
    return float(number.replace(",", ".")) * (1000 if unit.lower().startswith("k") else 1)
