"""A microphone nearer or further away."""

from __future__ import annotations

from typing import Any

from core.units import METRES_PER
from rigs.checks.bench import ASSUMED_CELSIUS, Bench, BenchInput
from rigs.checks.points import own_distance
from rigs.whatif import distance
from rigs.whatif.answers import Answer, Proposal, Subject
from rigs.whatif.forms import DistanceQuestion, as_typed
from rigs.whatif.topic import Topic


class DistanceTopic(Topic):
    key, label, icon = "distance", "Distance", "ruler"
    nothing = "No input of this rig has a microphone."
    question = DistanceQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(entry.id, entry.name) for entry in bench.inputs if entry.is_mic]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        entry = _find(bench, subject)
        celsius = ASSUMED_CELSIUS if bench.celsius is None else bench.celsius
        return {"distance": _shown(entry), "celsius": f"{celsius:g}"}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        entry, then = _find(bench, subject), typed["distance"]
        proposal = Proposal("input", entry.id, "distance_m", as_typed(then))
        return distance.answer(
            entry.distance,
            float(then.metres),
            typed["celsius"],
            _partner(bench, entry),
            proposal,
            entry.device.gradient if entry.device else None,
        )


def _find(bench: Bench, subject: str) -> BenchInput:
    return next(entry for entry in bench.inputs if entry.id == subject)


def _shown(entry: BenchInput) -> str:
    if entry.distance is None:
        return ""
    return f"{entry.distance / float(METRES_PER[entry.distance_unit]):g} {entry.distance_unit}"


def _partner(bench: Bench, mic: BenchInput) -> distance.Partner | None:
    """The first DI of the same source; None where the tape does not start at that source."""
    if mic.unit is None or (mic.distance is not None and own_distance(mic) is None):
        return None
    for entry in bench.inputs:
        if entry.is_di and entry.unit and bench.sources(entry) & bench.sources(mic):
            return distance.Partner(entry.name, entry.reversed_polarity != mic.reversed_polarity)
    return None
