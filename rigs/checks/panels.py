"""What a page shows of a rig's findings: sorted into what to do about them, each with its form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rigs.checks.acceptance import FindingWithWords
from rigs.checks.findings import Severity

if TYPE_CHECKING:
    from rigs.checks.forms import AcceptForm


@dataclass(slots=True)
class ShownFindings:
    """Findings sorted: `open` ones, `lacking` a measurement, and `accepted` as they are."""

    open: list[FindingWithWords] = field(default_factory=list)
    lacking: list[FindingWithWords] = field(default_factory=list)
    accepted: list[FindingWithWords] = field(default_factory=list)
    form: AcceptForm | None = None

    @property
    def lost_form(self) -> AcceptForm | None:
        """The form that was sent, where the finding it is about is no longer there."""
        if self.form is None:
            return None
        sent = self.form.data.get("signature")
        every = (*self.open, *self.lacking, *self.accepted)
        return None if any(finding.finding.signature == sent for finding in every) else self.form


def shown(findings: Iterable[FindingWithWords], form: AcceptForm | None = None) -> ShownFindings:
    result = ShownFindings(form=form)
    for finding in findings:
        _place(result, finding).append(finding)
    return result


def _place(result: ShownFindings, finding: FindingWithWords) -> list[FindingWithWords]:
    if finding.is_accepted:
        return result.accepted
    if finding.finding.severity in (Severity.NOT_MEASURED, Severity.UNABLE):
        return result.lacking
    return result.open


def about(findings: Sequence[FindingWithWords], part: str | None) -> list[FindingWithWords]:
    """The findings about one unit, input or cable; all of them for None."""
    return [finding for finding in findings if part is None or finding.is_about(part)]
