"""Machines A and B of a playback that do not have the same session loaded."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

KEY = "machines_alike"
WHY = gettext_lazy(
    "When B takes over in the middle of a song, it goes on with another version of it."
)


def check(bench: Bench) -> Iterator[Finding]:
    pairs = {
        letter: [unit for unit in bench.units.values() if unit.machine == letter]
        for letter in ("A", "B")
    }
    for letter, units in pairs.items():
        if len(units) > 1:
            yield _look(
                units,
                _("{names} are both machine {letter}").format(names=_names(units), letter=letter),
                _("letter"),
                letter,
            )
    both = [unit for units in pairs.values() for unit in units]
    if len(both) == 1:
        (alone,) = both
        title = _("{unit} is machine {letter} of a pair, and no other is there").format(
            unit=alone.name, letter=alone.machine
        )
        yield _look(both, title, _("letter"), alone.machine)
    elif not all(len(units) == 1 for units in pairs.values()):
        return
    elif unsaid := [unit for unit in both if not unit.session]:
        yield not_measured(
            KEY, [u.id for u in both], _names(unsaid), [gettext_lazy("the session loaded")], WHY
        )
    elif len({" ".join(unit.session.casefold().split()) for unit in both}) > 1:
        said = all_of(
            _("{unit} “{session}”").format(unit=unit.name, session=unit.session) for unit in both
        )
        sessions = " / ".join(unit.session for unit in both)
        yield _look(
            both, _("Machines A and B differ: {said}").format(said=said), _("sessions"), sessions
        )


def _names(units: list[BenchUnit]) -> str:
    return all_of(unit.name for unit in units)


def _look(units: list[BenchUnit], title: str, label: str, value: str) -> Finding:
    return Finding(
        KEY,
        tuple(unit.id for unit in units),
        Severity.LOOK,
        title,
        str(WHY),
        _("Load the same session on both, and write on both what is loaded."),
        Certainty.CERTAIN,
        (Figure(label, value),),
    )


RULE = Rule(KEY, gettext_lazy("Would machine B go on with what machine A was playing?"), check)
