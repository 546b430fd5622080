"""The drums of a kit, and one of them tuned otherwise."""

from __future__ import annotations

from typing import Any

from rigs.checks.bench import Bench, BenchUnit
from rigs.whatif import kit
from rigs.whatif.answers import Answer, Proposal, Subject
from rigs.whatif.forms import KitQuestion
from rigs.whatif.topic import Topic

PITCH = "pitch"


class KitTopic(Topic):
    key, label, icon = "kit", "Kit", "drum"
    nothing = "No drum is in this rig."
    question = KitQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(drum.id, drum.name) for drum in _drums(bench)]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        unit = bench.units[subject]
        return {"pitch": unit.settings.get(_control(unit) or "", "")}

    def known(self, bench: Bench, subject: str) -> Answer:
        """The intervals as they are, before anything is asked."""
        return kit.standing(_drums(bench))

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        unit, pitch = bench.units[subject], typed["pitch"]
        control = _control(unit)
        proposal = (
            Proposal("control", unit.controls[control], "setting", pitch) if control else None
        )
        return kit.answer(_drums(bench), subject, pitch, proposal)


def _drums(bench: Bench) -> list[kit.Drum]:
    return [
        kit.Drum(unit.id, unit.name, unit.settings.get(_control(unit) or ""))
        for unit in bench.units.values()
        if unit.traits.drum_heads
    ]


def _control(unit: BenchUnit) -> str | None:
    """The name of the control that a drum's pitch is written in."""
    return next((name for name in unit.settings if name.strip().casefold() == PITCH), None)
