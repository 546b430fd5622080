"""Machines A and B of a playback that do not have the same session loaded."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

KEY = "machines_alike"
WHY = "When B takes over in the middle of a song, it goes on with another version of it."


def check(bench: Bench) -> Iterator[Finding]:
    pairs = {
        letter: [unit for unit in bench.units.values() if unit.machine == letter]
        for letter in ("A", "B")
    }
    for letter, units in pairs.items():
        if len(units) > 1:
            yield _look(units, f"{_names(units)} are both machine {letter}", "letter", letter)
    both = [unit for units in pairs.values() for unit in units]
    if len(both) == 1:
        (alone,) = both
        title = f"{alone.name} is machine {alone.machine} of a pair, and no other is there"
        yield _look(both, title, "letter", alone.machine)
    elif not all(len(units) == 1 for units in pairs.values()):
        return
    elif unsaid := [unit for unit in both if not unit.session]:
        yield not_measured(KEY, [u.id for u in both], _names(unsaid), ["the session loaded"], WHY)
    elif len({" ".join(unit.session.casefold().split()) for unit in both}) > 1:
        said = " and ".join(f"{unit.name} “{unit.session}”" for unit in both)
        sessions = " / ".join(unit.session for unit in both)
        yield _look(both, f"Machines A and B differ: {said}", "sessions", sessions)


def _names(units: list[BenchUnit]) -> str:
    return " and ".join(unit.name for unit in units)


def _look(units: list[BenchUnit], title: str, label: str, value: str) -> Finding:
    return Finding(
        KEY,
        tuple(unit.id for unit in units),
        Severity.LOOK,
        title,
        WHY,
        "Load the same session on both, and write on both what is loaded.",
        Certainty.CERTAIN,
        (Figure(label, value),),
    )


RULE = Rule(KEY, "Would machine B go on with what machine A was playing?", check)
