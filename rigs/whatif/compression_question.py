"""A compressor and its blend."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.build import number
from rigs.signal.dynamics import Compressor
from rigs.whatif import compression
from rigs.whatif.answers import Answer, Proposal, Subject
from rigs.whatif.forms import CompressionQuestion
from rigs.whatif.topic import Topic

# What a question asks, the names its control goes by, and the unit in which the control must be
# marked to be read. A clock position or a number on a dial is no level.
_READ = {
    "threshold": (("threshold",), "db"),
    "ratio": (("ratio",), ":1"),
    "knee": (("knee",), "db"),
    "makeup": (("output", "make-up", "makeup", "make-up gain"), "db"),
    "dry": (("dry", "dry level"), "db"),
    "wet": (("blend", "wet", "wet level"), "db"),
}
# The dry path is what the others are measured against.
_START = {"dry": "0"}


class CompressionTopic(Topic):
    key, label, icon = "compression", "Compression", "square-activity"
    nothing = "No compressor, and nothing else with a threshold and a ratio, is in this rig."
    question = CompressionQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(u.id, u.name) for u in bench.units.values() if _compresses(u)]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        return _START | _read(bench.units[subject])

    def known(self, bench: Bench, subject: str) -> Answer | None:
        """What the unit's controls do not say in figures."""
        return Answer(problems=tuple(_unread(bench.units[subject])))

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        compressor = Compressor(
            typed["threshold"], typed["ratio"], typed["knee"] or 0.0, typed["makeup"] or 0.0
        )
        blend = compression.Blend(typed["dry"], typed["wet"])
        return compression.answer(compressor, blend, _proposal(bench.units[subject], typed))


def _compresses(unit: BenchUnit) -> bool:
    names = {name.casefold() for name in unit.settings}
    return unit.traits.compresses or {"threshold", "ratio"} <= names


def _controls(unit: BenchUnit) -> Iterator[tuple[str, str, bool]]:
    """Field of the question, name of the control, and whether its setting can be read."""
    for key, (names, symbol) in _READ.items():
        for name in unit.settings:
            if name.strip().casefold() in names:
                marked = unit.symbols.get(name, "").replace(" ", "").casefold()
                yield key, name, marked == symbol and number(unit.settings[name]) is not None


def _read(unit: BenchUnit) -> dict[str, str]:
    return {key: unit.settings[name] for key, name, reads in _controls(unit) if reads}


def _proposal(unit: BenchUnit, typed: dict[str, Any]) -> Proposal | None:
    """Where what was typed differs from just one control that reads: that control, turned there.

    A proposal writes one field; two controls at once are turned on the page of the unit.
    """
    moved = [
        (name, typed[key])
        for key, name, reads in _controls(unit)
        if reads and typed[key] is not None and typed[key] != number(unit.settings[name])
    ]
    if len(moved) != 1:
        return None
    ((name, value),) = moved
    return Proposal("control", unit.controls[name], "setting", f"{value:.12g}")


def _unread(unit: BenchUnit) -> Iterator[str]:
    for key, name, reads in _controls(unit):
        setting = f"{unit.settings[name]} {unit.symbols.get(name, '')}".strip()
        if unit.settings[name] and not reads:
            what = "ratio" if key == "ratio" else "level in dB"
            yield f"{name} stands at {setting}, which is no {what}. Type what you take it for."
