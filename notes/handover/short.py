"""The ten-minute version: as much of a handover as can be read in ten minutes. Pure.

The least of everything comes first; then more, step by step, in the order in which the reader's
trade asks for it, as long as ten minutes are not over.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from notes.handover.cut import Brief, Level, brief, cut
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


def steps_of(order: Order) -> str:
    """The key of the steps of an order. The default one has none of its own."""
    return order.key if order.key in _STEPS else "foh"


def short(content: Plain, order: Order) -> Version:
    """The longest version of at most MINUTES. Of a very large handover, the shortest there is.

    Each step that still fits is taken; one that does not is passed over.
    """
    key = steps_of(order)
    told = {where: brief(content, where=where) for where in (False, True)}
    level = _START[key]
    version = _version(told, level)
    for step in _STEPS[key].split():
        name, _, number = step.partition("=")
        step_up: dict[str, Any] = {name: int(number) if number else True}
        # By the words of the whole, since what one step adds depends on those before it.
        more = _version(told, level._replace(**step_up))
        if more.words <= MINUTES * WORDS_A_MINUTE:
            level, version = level._replace(**step_up), more
    return version


def _version(told: dict[bool, Brief], level: Level) -> Version:
    shown, left = cut(told[level.where], level)
    return Version(shown, words_of(shown), left)
