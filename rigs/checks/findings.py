"""Findings: what a rule reports, why it matters, how sure it is and what mends it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, NamedTuple, TypeVar

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from core.languages.marked import gettext_noop
from rigs.changes.chain import canonical, sha256
from rigs.changes.edits import Set
from rigs.checks.figures import Figure, listed
from rigs.checks.pictures import Picture

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

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
        return _(self.value)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule reports about some parts of a rig or of a stage.

    `parts` are ids of units, inputs and links, the one it is most about first. `edits` are the
    changes of fields that would mend it, where there are such. Sentences and labels are in the
    language that was active when the rule was asked.
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
        # As shown: a difference too small to be shown does not reopen what was accepted. And in
        # English, whoever reads it: what one accepts is accepted for all.
        with translation.override(settings.LANGUAGE_CODE):
            numbers = [figure.shown for figure in self.figures if figure.lasting]
        return sha256(canonical([self.rule, str(self.severity), sorted(self.parts), numbers]))


class Rule(NamedTuple, Generic[Laid]):
    """A rule: its stable key, what it asks in words, and the function that answers.

    `Rule[Bench]` is about one rig, `Rule[Stage]` about the rigs of a show beside each other.
    """

    key: str
    asks: StrOrPromise
    check: Callable[[Laid], Iterable[Finding]]


def not_measured(
    rule: str,
    parts: Iterable[str],
    about: str,
    missing: Iterable[StrOrPromise],
    why: StrOrPromise,
    measure: str = "",
) -> Finding:
    """A finding that says what is missing for a check that applies.

    `missing` are lazy texts, as all words of figures are. `measure` says how to obtain it; left
    out, the finding asks to state it.
    """
    what = listed(missing)
    return Finding(
        rule,
        tuple(parts),
        Severity.NOT_MEASURED,
        _("{about}: {missing} not stated").format(about=about, missing=what),
        str(why),
        measure or _("State it: {missing}.").format(missing=what),
        Certainty.CERTAIN,
        (Figure(_("missing"), what),),
    )
