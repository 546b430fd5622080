"""Listening without knowing which is which: a random order, sealed beforehand, and what came of it.

In each round a listener hears “First”, “Second” and “X”, which is one of the two again, and says
which. This is the ABX procedure of the literature (W. A. Munson and M. B. Gardner, “Standardizing
Auditory Tests”, J. Acoust. Soc. Am. 22, 675, 1950; cited from memory).

Several listeners are several chances for luck. How many will listen is fixed beforehand, and all
their results, with what they heard together, are judged at once after Holm (S. Holm, “A Simple
Sequentially Rejective Multiple Test Procedure”, Scand. J. Statist. 6, 65, 1979; from memory):
whatever depends on what, guessing is called heard in one of twenty trials at most. No Django.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb
from typing import Any, Literal, NamedTuple

import rfc8785

from core.languages.marked import Said, gettext_noop

Clip = Literal["a", "b"]
Label = Literal["first", "second"]
# Common practice: one in twenty is how often guessing alone may look like hearing.
THRESHOLD = Fraction(1, 20)
_HEARD, _UNHEARD = (
    gettext_noop("A difference was heard: {result}."),
    gettext_noop("No reliable difference heard: {result}."),
)
_HEARD_AMONG, _UNHEARD_AMONG = (
    gettext_noop(
        "A difference was heard: {result}, which counts as {share} because {results} results are "
        "judged at once."
    ),
    gettext_noop(
        "No reliable difference heard: {result}, which counts as {share} because {results} results "
        "are judged at once."
    ),
)
# What is said of a result, and the parts of that.
JUDGEMENTS = (_HEARD, _UNHEARD, _HEARD_AMONG, _UNHEARD_AMONG)
RESULT = gettext_noop(
    "{right} of {rounds} right; by guessing alone that or better happens in {share} of trials"
)
SHARES = gettext_noop("fewer than {percent:g} %"), gettext_noop("{percent:.2g} %")


class Round(NamedTuple):
    """Which clip is called First, and which of the two X is."""

    first: Clip
    x: Label

    def clip(self, label: str) -> Clip:
        """The clip behind “first”, “second” or “x”. Raises KeyError for anything else."""
        second: Clip = "b" if self.first == "a" else "a"
        known: dict[str, Clip] = {"first": self.first, "second": second}
        return known[self.x] if label == "x" else known[label]


def make_order(rounds: int, chance: random.Random) -> list[Round]:
    """The order of all rounds, each by two fair coins. `chance` is a source that nobody can
    foresee."""
    return [
        Round(chance.choice(("a", "b")), chance.choice(("first", "second"))) for _ in range(rounds)
    ]


def seal(order: list[Round], nonce: str) -> str:
    """SHA-256, in hexadecimal, over canonical JSON (RFC 8785) of the order and a random nonce.

    Shown before the first sound; with order and nonce shown afterwards anybody can work it out.
    """
    # Without the nonce all orders of a few rounds could be tried out against the digest.
    content: dict[str, Any] = {"nonce": nonce, "order": [list(each) for each in order]}
    return hashlib.sha256(rfc8785.dumps(content)).hexdigest()


def by_guessing(right: int, rounds: int) -> Fraction:
    """The exact chance of `right` or more of `rounds` by guessing: a binomial tail at one half."""
    if not 0 <= right <= rounds:
        raise ValueError("more right answers than rounds, or fewer than none")
    return Fraction(sum(comb(rounds, k) for k in range(right, rounds + 1)), 2**rounds)


def holm(chances: Sequence[Fraction]) -> list[Fraction]:
    """Each chance, raised so that all may be set against one threshold (Holm 1979).

    The least of m counts m times, the next m − 1 times, and none less than the one before it.
    """
    raised = list(chances)
    highest = Fraction(0)
    for place, at in enumerate(sorted(range(len(chances)), key=lambda at: chances[at])):
        highest = max(highest, min(Fraction(1), (len(chances) - place) * chances[at]))
        raised[at] = highest
    return raised


@dataclass(frozen=True, slots=True)
class Result:
    """What came of the rounds of one listener, or of several together; preferences count rounds."""

    rounds: int
    right: int
    prefers_a: int
    prefers_b: int

    @property
    def chance(self) -> Fraction:
        return by_guessing(self.right, self.rounds)

    @property
    def words(self) -> str:
        """“10 of 12 right; by guessing alone that or better happens in 1.9 % of trials”."""
        return Said(RESULT, right=self.right, rounds=self.rounds, share=_share(self.chance))


@dataclass(frozen=True, slots=True)
class Judged:
    """A result among `judged_at_once` others. `raised` is its chance after Holm."""

    result: Result
    raised: Fraction
    judged_at_once: int = 1

    @property
    def told_apart(self) -> bool:
        return self.raised <= THRESHOLD

    @property
    def words(self) -> str:
        """What may be said of it, and no more."""
        if self.judged_at_once == 1:
            return Said(_HEARD if self.told_apart else _UNHEARD, result=self.result.words)
        return Said(
            _HEARD_AMONG if self.told_apart else _UNHEARD_AMONG,
            result=self.result.words,
            share=_share(self.raised),
            results=self.judged_at_once,
        )


@dataclass(frozen=True, slots=True)
class Judgement:
    """`each` as the results were given; `together` is None unless several were to listen and all
    have listened to the end."""

    each: list[Judged]
    together: Judged | None

    @property
    def told_apart(self) -> bool:
        return any(judged.told_apart for judged in (*self.each, *filter(None, [self.together])))


def judge(results: Sequence[Result], listeners: int) -> Judgement:
    """Judge all results at once. `listeners` is how many were to listen, as fixed beforehand.

    Whoever has not listened to the end keeps a place among those judged, and what was heard
    together is judged only where nobody is missing: so nobody gains by when the trial is closed.
    Raises ValueError for more results than listeners.
    """
    missing = listeners - len(results)
    if missing < 0:
        raise ValueError("more have listened than were to listen")
    pooled = [together(results)] if listeners > 1 and not missing else []
    at_once = listeners + (listeners > 1)
    counted = [*results, *pooled]
    chances = [result.chance for result in counted]
    # Whoever is missing counts as pure guessing, which can only make the others' threshold harder.
    raised = holm([*chances, *[Fraction(1)] * (at_once - len(counted))])
    judged = [Judged(result, each, at_once) for result, each in zip(counted, raised, strict=False)]
    return Judgement(judged[: len(results)], judged[-1] if pooled else None)


def _share(chance: Fraction) -> str:
    """A probability in words: two digits at most, and below a hundredth of a per cent no
    further."""
    percent = float(chance) * 100
    if percent < 0.01:
        return Said(SHARES[0], percent=0.01)
    if percent >= 10:
        return f"{percent:.0f} %"
    return Said(SHARES[1], percent=percent)


def together(results: Sequence[Result]) -> Result:
    return Result(*(sum(column) for column in zip(*(_counts(r) for r in results), strict=True)))


def _counts(result: Result) -> tuple[int, int, int, int]:
    return result.rounds, result.right, result.prefers_a, result.prefers_b
