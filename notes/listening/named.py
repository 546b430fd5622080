"""Frequencies that a note's words name, so that a reading can say what the clips do there."""

from __future__ import annotations

import re
from typing import NamedTuple

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_UNIT = r"(k(?:Hz)?|Hz)\b"
# A number that follows or is followed by something else is no frequency: “0.4k”, “2-3k9”.
_FREE = r"(?<![\w.,])"
# “and” makes a range after “between” alone: “250 Hz and 4 kHz” are two.
_RANGE = re.compile(
    rf"{_FREE}(?P<between>between\s+)?{_NUMBER}\s*(?:{_UNIT})?"
    rf"\s*(?:–|-|to|(?(between)and|(?!)))\s*{_NUMBER}\s*{_UNIT}",
    re.I,
)
_SINGLE = re.compile(rf"{_FREE}{_NUMBER}\s*{_UNIT}", re.I)
# Without a unit it takes a word for a place in the spectrum before the number, and nothing behind
# it that makes another quantity of it; below 20 it would hardly be hertz.
_BARE = re.compile(
    rf"(?:\b(?:around|about|near|roughly|circa)\s+|~\s?){_NUMBER}(?:\s*(?:–|-|to)\s*{_NUMBER})?"
    r"(?![\w.,:/'\"″′%°]*\w)(?!\s*(?:mm|cm|m|in|ft|inch(?:es)?|feet|foot|metres?|meters?|s|ms|sec\w*|"
    r"min\w*|hours?|o'clock|dB|V|mV|W|ohms?|Ω|°|%|bpm|people|times|bars?|beats?)(?!\w))",
    re.I,
)
_LEAST_BARE = 20
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


class NamedFrequency(NamedTuple):
    """Words as they stand in the note and the Hz they stand for; `often` marks a hint."""

    words: str
    low_hz: float
    high_hz: float
    often: bool = False


def named_in(text: str) -> list[NamedFrequency]:
    """Ranges, single frequencies and common words for bands in `text`, each once, in that order."""
    named = [_range(match) for match in _RANGE.finditer(text)]
    rest = _RANGE.sub(" ", text)
    named += [_single(match) for match in _SINGLE.finditer(rest)]
    rest = _SINGLE.sub(" ", rest)
    named += [
        _bare(match)
        for match in _BARE.finditer(rest)
        if float(match[1].replace(",", ".")) >= _LEAST_BARE
    ]
    for stem, low, high in OFTEN:
        match = re.search(rf"\b{stem}\w*", rest, re.I)
        if match:
            named.append(NamedFrequency(match[0].lower(), low, high, often=True))
    plausible = [each for each in named if 10 <= each.low_hz < each.high_hz <= 24_000]
    return list(dict.fromkeys(plausible))


def _range(match: re.Match[str]) -> NamedFrequency:
    between, low, low_unit, high, unit = match.groups()
    first, last = _hz(low, low_unit or unit), _hz(high, unit)
    return NamedFrequency(match[0].removeprefix(between or ""), min(first, last), max(first, last))


def _single(match: re.Match[str]) -> NamedFrequency:
    at = _hz(match[1], match[2])
    return NamedFrequency(match[0], at / _ABOUT, at * _ABOUT)


def _bare(match: re.Match[str]) -> NamedFrequency:
    low = _hz(match[1], "Hz")
    words = match[0]
    if match[2] is None:
        return NamedFrequency(words, low / _ABOUT, low * _ABOUT)
    high = _hz(match[2], "Hz")
    return NamedFrequency(words, min(low, high), max(low, high))


def _hz(number: str, unit: str) -> float:
    return float(number.replace(",", ".")) * (1000 if unit.lower().startswith("k") else 1)
