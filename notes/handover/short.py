"""The ten-minute version: as much of a handover as can be read in ten minutes. Pure.

The least of everything comes first; then more, step by step, in the order in which the reader's
trade asks for it, as long as ten minutes are not over.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from django.utils.translation import get_language

from notes.handover.cut import Level, cut
from notes.handover.in_words import in_words
from notes.handover.orders import Order
from notes.handover.pace import WORDS_A_MINUTE, minutes, words_of

Plain = dict[str, Any]
MINUTES = 10
# What is added one after the other (common practice, no source): to a tech what is on stage and
# what to have at hand, to everybody else how it should sound and where the microphones stand; to
# all of them soon what is open. A monitor engineer reads the mixes before all of that.
_STEPS = {
    "tech": """
        lines=2 units spares notes=1 changes=2 words=20 songs=1 settings places sound=12 songs=3
        findings=1 changes=3 sound=30 where tried=1 words=30 notes=2 songs=9 sound=60 findings=2
        changes=4 tried=2 record=1 notes=3 words=40 changes=6 tried=4 notes=5 sound=120 findings=3
        record=3 words=60""",
    "monitors": """
        mixes=6 mix_notes mixes=12 mixes=60 sound=12
        lines=2 sound=20 notes=1 sound=30 notes=2 words=20 where changes=2 notes=3 sound=60
        changes=3 tried=1 songs=1 words=30 findings=1 notes=5 sound=120 units places changes=4
        tried=2 songs=3 record=1 words=40 findings=2 changes=6 tried=4 record=3 findings=3
        words=60""",
    "foh": """
        lines=2 sound=20 notes=1 sound=30 where sound=45 sound=60 changes=2 words=20 record=1
        tried=1 changes=3 notes=2 findings=1 words=30 sound=120 songs=1 record=3 tried=2 notes=3
        changes=4 findings=2 words=40 songs=3 units places notes=5 changes=6 tried=4 findings=3
        words=60""",
}
_START = {"tech": Level(), "monitors": Level(mixes=3), "foh": Level(sound=12)}


@dataclass(frozen=True, slots=True)
class Version:
    """A handover's content as it is shown, how long it takes, and what stands only in the full."""

    content: Plain
    words: int
    left_out: Counter[str]

    @property
    def minutes(self) -> int:
        """At WORDS_A_MINUTE, rounded up; at least one."""
        return minutes(self.words)


def full(content: Plain) -> Version:
    described = in_words(content)
    return Version(described, words_of(described), Counter())


def short(content: Plain, order: Order, digest: str = "") -> Version:
    """The longest version of at most MINUTES. Of a very large handover, the shortest there is.

    With the `digest` of what is published, which never changes, the search is done once.
    """
    if not digest:
        return _version(content, _level(content, order.key))
    return _version(content, _known(_Asked(digest, order.key, get_language() or "", content)))


@dataclass(frozen=True, slots=True)
class _Asked:
    digest: str
    order: str
    language: str  # that of the reader: what is ours is not of one length in all
    # No part of the key: the digest stands for it, and a dict has no hash.
    content: Plain = field(compare=False)


@lru_cache(maxsize=32)
def _known(asked: _Asked) -> Level:
    return _level(asked.content, asked.order)


def _level(content: Plain, order: str) -> Level:
    """Each step that still fits is taken; one that does not is passed over."""
    # The default order has no steps of its own.
    key = order if order in _STEPS else "foh"
    level = _START[key]
    for step in _STEPS[key].split():
        name, _, number = step.partition("=")
        step_up: dict[str, Any] = {name: int(number) if number else True}
        more = level._replace(**step_up)
        # By the words of the whole, since what one step adds depends on those before it.
        if _version(content, more).words <= MINUTES * WORDS_A_MINUTE:
            level = more
    return level


def _version(content: Plain, level: Level) -> Version:
    shown, left = cut(content, level)
    return Version(shown, words_of(shown), left)
