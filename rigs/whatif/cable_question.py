"""Another cable or another input on a passive pickup."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rigs.checks.bench import Bench, BenchLink, BenchUnit
from rigs.whatif import cable
from rigs.whatif.answers import Answer, Proposal, Subject
from rigs.whatif.forms import CableQuestion, as_typed
from rigs.whatif.topic import Topic


class CableTopic(Topic):
    key, label, icon = "cable", "Cable", "cable"
    nothing = "No guitar or bass, and nothing else with a pickup’s figures, is in this rig."
    question = CableQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        """A cable from a pickup, or the unit itself where no cable leads on."""
        return [
            Subject(link.id, f"{unit.name} → {bench.units[link.target].name}")
            if link
            else Subject(unit.id, unit.name)
            for unit, link in _runs(bench)
        ]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        unit, link = _find(bench, subject)
        length = f"{link.length:g} m" if link and link.length is not None else ""
        ohms = _input_of(bench, unit, link)
        load = f"{ohms / 1000:g}" if ohms else ""
        return {"length_now": length, "length_then": length, "load_now": load, "load_then": load}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        unit, link = _find(bench, subject)
        now, then = (
            cable.Load(
                float(typed[f"length_{when}"].metres),
                typed[f"per_metre_{when}"] * 1e-12,
                typed[f"load_{when}"] * 1000,
            )
            for when in ("now", "then")
        )
        length = as_typed(typed["length_then"])
        proposal = Proposal("link", link.id, "length_m", length) if link else None
        return cable.answer(unit.facts, now, then, proposal)


def _runs(bench: Bench) -> Iterator[tuple[BenchUnit, BenchLink | None]]:
    for unit in bench.units.values():
        if unit.traits.pickup or any(key in unit.facts for key in cable.NEEDED):
            links: list[BenchLink | None] = [*bench.links_from(unit.id, "instrument")]
            yield from ((unit, link) for link in links or [None])


def _find(bench: Bench, subject: str) -> tuple[BenchUnit, BenchLink | None]:
    return next(
        (unit, link) for unit, link in _runs(bench) if subject == (link.id if link else unit.id)
    )


def _input_of(bench: Bench, unit: BenchUnit, link: BenchLink | None) -> float | None:
    """Ohms of what the pickup works into: the next unit, or the DI that takes its sound."""
    stated = bench.units[link.target].facts.get("input_impedance") if link else None
    dis = (e.device for e in bench.inputs if e.unit == unit and e.device and e.device.is_di)
    return stated or next((di.impedance for di in dis if di.impedance), None)
