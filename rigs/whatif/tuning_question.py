"""A stringed unit retuned."""

from __future__ import annotations

from typing import Any

from rigs.checks.bench import Bench, BenchUnit
from rigs.whatif import tuning
from rigs.whatif.answers import Answer, Proposal, Subject
from rigs.whatif.forms import TuningQuestion
from rigs.whatif.topic import Topic, Unanswerable


class TuningTopic(Topic):
    key, label, icon = "tuning", "Tuning", "guitar"
    nothing = "No stringed instrument and no unit with a tuning is in this rig."
    question = TuningQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        stringed = (u for u in bench.units.values() if u.traits.strung or u.tuning.strip())
        return [Subject(unit.id, unit.name) for unit in stringed]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        return {"tuning": bench.units[subject].tuning}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        unit, words = bench.units[subject], typed["tuning"]
        strings = tuning.Strings(unit.facts.get("scale_length") or None, typed["masses"])
        proposal = Proposal("unit", unit.id, "tuning", words)
        filters = _filters(bench, unit)
        try:
            return tuning.answer(unit.tuning, tuning.read(words), strings, filters, proposal)
        except tuning.StringsDiffer as error:
            raise Unanswerable(error.about, str(error)) from None


def _filters(bench: Bench, unit: BenchUnit) -> list[tuning.Filter]:
    """The high-passes of the inputs that the instrument reaches."""
    return [
        tuning.Filter(entry.name, entry.high_pass)
        for entry in bench.inputs
        if entry.high_pass and entry.high_pass > 0 and unit in bench.upstream(entry.unit)
    ]
