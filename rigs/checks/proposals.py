"""What a finding proposes, put into the form of the input that it is about. Nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from django.utils.translation import gettext_lazy

from core.languages.words import inside
from rigs.changes.edits import Value
from rigs.checks.bench import Bench
from rigs.checks.figures import listed
from rigs.checks.findings import Finding
from rigs.checks.load import benches
from rigs.checks.run import findings
from rigs.editing.part_forms import PartForm
from rigs.models import Input, Rig
from rigs.wording.fields import label, text

GONE = gettext_lazy("That finding is no longer there: its numbers have changed, or it was mended.")


class ProposedField(NamedTuple):
    """One field of a proposal: what it is called, how it reads now and how it would read."""

    field: str
    label: str
    now: str
    then: str


class Proposal(NamedTuple):
    """What a finding would set on one input: field → value as a form takes it."""

    finding: Finding
    part: str
    name: str
    values: Mapping[str, Value]

    @property
    def words(self) -> str:
        """What would be set, in words: “delay at the desk 2.91 ms”."""
        described = [
            f"{inside(label(Input.KIND, field))} {text(Input.KIND, field, value)}"
            for field, value in self.values.items()
        ]
        return str(listed(described))

    def lines(self, now: Mapping[str, Value]) -> list[ProposedField]:
        """Each field beside what the input has in it: `now`, its fields."""
        return [
            ProposedField(
                field,
                label(Input.KIND, field),
                text(Input.KIND, field, now.get(field)),
                text(Input.KIND, field, value),
            )
            for field, value in self.values.items()
        ]


def proposals_of(finding: Finding, bench: Bench) -> tuple[Proposal, ...]:
    """The proposals of a finding, one for each input that it would change. No queries."""
    names = {entry.id: entry.name for entry in bench.inputs}
    return tuple(
        Proposal(finding, edit.part, names[edit.part], edit.fields)
        for edit in finding.edits
        if edit.kind == Input.KIND and edit.part in names
    )


def open_proposals(rig: Rig, part: str) -> list[Proposal]:
    """The proposals for one input that the findings of `rig` make now. Ten queries at most."""
    bench = benches([rig])[rig.pk]
    every = [each for finding in findings(bench) for each in proposals_of(finding, bench)]
    return [each for each in every if each.part == part]


def find_proposal(proposals: list[Proposal], signature: str) -> Proposal | None:
    """The one of the finding with that signature; None where it is no longer made."""
    return next((each for each in proposals if each.finding.signature == signature), None)


def fill_in(form: PartForm, proposal: Proposal) -> None:
    """Put what is proposed into an open form, as if it had been typed."""
    form.initial.update(proposal.values)
