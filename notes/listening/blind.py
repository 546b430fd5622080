"""Listening without knowing which is which: a random order, sealed beforehand, and what came of it.

In each round a listener hears “First”, “Second” and “X”, which is one of the two again, and says
which. This is the ABX procedure of the literature (W. A. Munson and M. B. Gardner, “Standardizing
Auditory Tests”, J. Acoust. Soc. Am. 22, 675, 1950; cited from memory). No Django.
"""

from __future__ import annotations

import hashlib
import random
from dataclasses import dataclass
from fractions import Fraction
from math import comb
from typing import Any, Literal, NamedTuple

import rfc8785

Clip = Literal["a", "b"]
Label = Literal["first", "second"]
# Common practice: one in twenty is how often guessing alone may look like hearing.
THRESHOLD = Fraction(1, 20)


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
    """Each round by two fair coins. `chance` is a source that nobody can foresee."""
    return [
        Round(chance.choice(("a", "b")), chance.choice(("first", "second"))) for _ in range(rounds)
    ]


def seal(order: list[Round], nonce: str) -> str:
    """SHA-256, in hexadecimal, over canonical JSON (RFC 8785) of the order and a random nonce.

    Shown before the first sound; with order and nonce shown afterwards anybody can work it out.
    """
    content: dict[str, Any] = {"nonce": nonce, "order": [list(each) for each in order]}
    return hashlib.sha256(rfc8785.dumps(content)).hexdigest()


def by_guessing(right: int, rounds: int) -> Fraction:
    """The exact chance of `right` or more of `rounds` by guessing: a binomial tail at one half."""
    if not 0 <= right <= rounds:
        raise ValueError("more right answers than rounds, or fewer than none")
    return Fraction(sum(comb(rounds, k) for k in range(right, rounds + 1)), 2**rounds)


@dataclass(frozen=True, slots=True)
class Result:
    """Of one listener, or of several together; preferences count rounds."""

    rounds: int
    right: int
    prefers_a: int
    prefers_b: int

    @property
    def chance(self) -> Fraction:
        return by_guessing(self.right, self.rounds)

    @property
    def told_apart(self) -> bool:
        return self.chance <= THRESHOLD

    @property
    def words(self) -> str:
        """What may be said of it, and no more."""
        odds = f"{self.right} of {self.rounds} right; by guessing alone that or better happens in "
        found = "A difference was heard" if self.told_apart else "No reliable difference heard"
        return f"{found}: {odds}{_share(self.chance)} of trials."


def _share(chance: Fraction) -> str:
    """Two digits at most; below a hundredth of a per cent nobody needs to know how far."""
    percent = float(chance) * 100
    if percent < 0.01:
        return "fewer than 0.01 %"
    return f"{percent:.0f} %" if percent >= 10 else f"{percent:.2g} %"


def together(results: list[Result]) -> Result:
    return Result(*(sum(column) for column in zip(*(_counts(r) for r in results), strict=True)))


def _counts(result: Result) -> tuple[int, int, int, int]:
    return result.rounds, result.right, result.prefers_a, result.prefers_b
