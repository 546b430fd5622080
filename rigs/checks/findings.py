"""Findings: what a rule reports, why it matters, how sure it is and what mends it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar

from django.utils.translation import gettext, gettext_noop

from rigs.changes.chain import canonical, sha256
from rigs.changes.edits import Set
from rigs.checks.figures import Figure
from rigs.checks.pictures import Picture

# What a rule looks at: a Bench (one rig) or a Stage (the rigs of a show).
Laid = TypeVar("Laid")


class Severity(StrEnum):
    """How grave a finding is, in the order in which a page shows them."""

    CAUTION = "caution"
    LOOK = "look"
    NOT_MEASURED = "not_measured"
    UNABLE = "unable"


class Certainty(StrEnum):
    """How sure a finding is. The values are what is stored of it."""

    CERTAIN = gettext_noop("certain: follows from what is documented")
    ESTIMATE = gettext_noop("estimate: rests on catalogue figures or on the assumptions named")
    THUMB = gettext_noop("rule of thumb: common practice")

    @property
    def words(self) -> str:
        """As the reader is told."""
        return gettext(self.value)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule reports about some parts of a rig or of a stage.

    `parts` are ids of units, inputs and links, the one it is most about first. `edits` are the
    changes of fields that would mend it, where there are such.
    """

    rule: str
    parts: tuple[str, ...]
    severity: Severity
    title: str
    why: str
    mend: str
    certainty: Certainty
    figures: tuple[Figure, ...] = ()
    assumes: tuple[str, ...] = ()
    picture: Picture | None = None
    edits: tuple[Set, ...] = ()

    @property
    def signature(self) -> str:
        """The SHA-256 of rule, severity, parts, and the figures as they are shown.

        Words that accepted a finding hold as long as its signature does. Titles and labels are left
        out, because they name units and inputs: another name is no other number.
        """
        # As shown: a difference too small to be shown does not reopen what was accepted.
        numbers = [figure.shown for figure in self.figures if figure.lasting]
        return sha256(canonical([self.rule, str(self.severity), sorted(self.parts), numbers]))


class Rule(NamedTuple, Generic[Laid]):
    """A rule: its stable key, what it asks in words, and the function that answers.

    `Rule[Bench]` is about one rig, `Rule[Stage]` about the rigs of a show beside each other.
    """

    key: str
    asks: str
    check: Callable[[Laid], Iterable[Finding]]


def not_measured(
    rule: str,
    parts: Iterable[str],
    about: str,
    missing: Iterable[str],
    why: str,
    measure: str = "",
) -> Finding:
    """A finding that says what is missing for a check that applies.

    `measure` says how to obtain it; left out, the finding asks to state it.
    """
    what = ", ".join(missing)
    return Finding(
        rule,
        tuple(parts),
        Severity.NOT_MEASURED,
        f"{about}: {what} not stated",
        why,
        measure or f"State it: {what}.",
        Certainty.CERTAIN,
        (Figure("missing", what),),
    )
