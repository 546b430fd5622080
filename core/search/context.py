"""The piece of a text that shows why it was found. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from core.search.words import Word, words

# As much as is read at a glance: two or three lines on a phone.
LENGTH = 180
_LEAD = 50


class Segment(NamedTuple):
    """A run of text that matches what was searched for, or does not. Not yet escaped."""

    text: str
    is_hit: bool


def segments(text: str, terms: Sequence[str]) -> list[Segment]:
    """The whole of `text`, cut where a word that begins with one of `terms` starts and ends."""
    return _cut(text, 0, len(text), _hits(text, terms))


def excerpt(text: str, terms: Sequence[str]) -> list[Segment]:
    """About LENGTH characters of `text` around where most of `terms` stand, cut at words."""
    # Before anything is measured: positions below are those in the joined text.
    text = " ".join(text.split())
    hits = _hits(text, terms)
    start, end = _window(text, hits, terms)
    segments = _cut(text, start, end, hits)
    if start > 0:
        segments.insert(0, Segment("… ", False))
    if end < len(text):
        segments.append(Segment(" …", False))
    return segments


def _hits(text: str, terms: Sequence[str]) -> list[Word]:
    return [word for word in words(text) if word.folded.startswith(tuple(terms))]


def _window(text: str, hits: Sequence[Word], terms: Sequence[str]) -> tuple[int, int]:
    best = max(hits, key=lambda hit: _worth(hit, hits, terms), default=None)
    # From the beginning where the hit stands there anyway: text is easiest read from its start.
    start = max(0, best.start - _LEAD) if best and best.end > LENGTH else 0
    end = min(len(text), start + LENGTH)
    if start > 0 and " " in text[start : best.start if best else end]:
        start = text.index(" ", start) + 1
    if end < len(text) and " " in text[start:end]:
        end = text.rindex(" ", start, end)
    return start, max(end, best.end if best else end)


def _worth(hit: Word, hits: Sequence[Word], terms: Sequence[str]) -> tuple[int, int]:
    """How many different words stand in a window that opens with `hit`; the earlier is better."""
    near = [h.folded for h in hits if hit.start <= h.start < hit.start + LENGTH - _LEAD]
    return sum(any(f.startswith(w) for f in near) for w in terms), -hit.start


def _cut(text: str, start: int, end: int, hits: Sequence[Word]) -> list[Segment]:
    pieces, position = [], start
    for hit in hits:
        # One sign may hold several words: ½ is 1 and 2.
        if max(start, position) <= hit.start and hit.end <= end:
            pieces += [
                Segment(text[position : hit.start], False),
                Segment(text[hit.start : hit.end], True),
            ]
            position = hit.end
    pieces.append(Segment(text[position:end], False))
    return [segment for segment in pieces if segment.text]
