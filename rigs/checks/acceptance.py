"""Findings of rigs and shows with the words that accepted them, and the writing of such words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext_lazy

from core.models import Show, User
from rigs.changes.edits import Snapshot
from rigs.checks.findings import Finding, Severity
from rigs.checks.load import benches
from rigs.checks.proposals import GONE, Proposal, proposals_of
from rigs.checks.run import findings
from rigs.models import FindingWords, Rig, ShowFindingWords, WordsOnFinding


class FindingGone(Exception):
    """The finding is no longer there: its numbers have changed, or it was mended."""


@dataclass(frozen=True, slots=True)
class FindingWithWords:
    """A finding and the newest words on it; without accepting words it is open.

    `proposals` are the changes of inputs that it proposes.
    """

    finding: Finding
    words: WordsOnFinding | None = None
    proposals: tuple[Proposal, ...] = ()

    @property
    def is_accepted(self) -> bool:
        return self.words is not None and self.words.accepted

    def is_about(self, part: str) -> bool:
        return part in self.finding.parts


def findings_with_words(
    rigs: Sequence[Rig], states: Mapping[UUID, Snapshot] | None = None
) -> dict[UUID, list[FindingWithWords]]:
    """The findings of each rig with the newest words on them, by the rig's id, gravest first.

    Twelve queries at most. `states` are the rigs as they are, where they were read already: that
    saves seven queries.
    """
    newest = _newest(rigs)
    return {
        rig: [
            FindingWithWords(
                finding, newest.get((rig, finding.signature)), proposals_of(finding, bench)
            )
            for finding in findings(bench)
        ]
        for rig, bench in benches(rigs, states).items()
    }


def _newest(rigs: Sequence[Rig]) -> dict[tuple[UUID, str], FindingWords]:
    rows = FindingWords.objects.filter(rig__in=[rig.pk for rig in rigs]).order_by("at", "pk")
    # Oldest first, so that of several words on one finding the newest stay in the dict.
    return {(words.rig_id, words.signature): words for words in rows} if rigs else {}


def findings_with_words_at(show: Show, found: Iterable[Finding]) -> list[FindingWithWords]:
    """The findings of the stage of `show`, each with the newest words on it. One query."""
    rows = ShowFindingWords.objects.filter(show=show).order_by("at", "pk")
    newest = {words.signature: words for words in rows}
    return [FindingWithWords(each, newest.get(each.signature)) for each in found]


def acknowledge(
    *, rig: Rig, signature: str, words: str, user: User, accept: bool = True
) -> FindingWords:
    """Accept a finding of a rig as it stands, with words; `accept=False` opens it again.

    Raises FindingGone where the rig has no finding of that signature, ValidationError without
    words. Who may is for the caller to ask (Action.EDIT_RIG).
    """
    row = FindingWords(rig=rig, signature=signature, words=words, accepted=accept, by=user)

    def found() -> list[Finding]:
        rig.refresh_from_db(fields=["head_number"])
        return findings(benches([rig])[rig.pk])

    _write(row, found)
    return row


def acknowledge_at(
    *,
    show: Show,
    found: Callable[[], Iterable[Finding]],
    signature: str,
    words: str,
    user: User,
    accept: bool = True,
) -> ShowFindingWords:
    """Accept a finding of the stage of `show`, or open it again; `found` gives those it has now.

    Raises as `acknowledge`.
    """
    row = ShowFindingWords(show=show, signature=signature, words=words, accepted=accept, by=user)
    _write(row, found)
    return row


NO_WORDS = gettext_lazy("Say in a few words why this may stay as it is.")
NO_WORDS_AGAIN = gettext_lazy("Say in a few words why it is open again.")


def _write(row: WordsOnFinding, found: Callable[[], Iterable[Finding]]) -> None:
    """Write words on that one of the findings which has the signature of `row`.

    Raises FindingGone where there is none, ValidationError without words. One transaction.
    """
    row.words = row.words.strip()
    if not row.words:
        raise ValidationError({"words": NO_WORDS if row.accepted else NO_WORDS_AGAIN})
    with transaction.atomic():
        # Found anew while writing: what was on the page may have been mended meanwhile.
        # What is kept of it is in English, whoever reads it later.
        with translation.override(settings.LANGUAGE_CODE):
            finding = _find(found(), row.signature)
        row.rule, row.parts, row.said_of = finding.rule, list(finding.parts), finding.title
        row.by_name = row.by.name if row.by else ""
        row.full_clean()
        row.save(force_insert=True)


def _find(found: Iterable[Finding], signature: str) -> Finding:
    for finding in found:
        # A check that failed says nothing about the rig, so there is nothing to accept.
        if finding.signature == signature and finding.severity != Severity.UNABLE:
            return finding
    raise FindingGone(str(GONE))
