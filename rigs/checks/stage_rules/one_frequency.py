"""Two units on one frequency at a show, or nearer than their channels are wide."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations
from typing import TYPE_CHECKING

from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import number
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageRadio

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "one_frequency"
WHY = gettext_lazy(
    "Two transmitters on one frequency make the receivers of both fall silent or roar."
)
MEND = gettext_lazy(
    "Give one of them another frequency, coordinated with all others of the "
    "night. Which may be used, and whether with a licence, is for the law of "
    "the place."
)
# The widest channel of a narrow radio microphone, in MHz: ETSI EN 300 422-1, from memory.
USUAL_WIDTH = Decimal("0.2")
ASSUMES = (
    gettext_lazy("Where a unit states no width in kHz, its channel is taken to be 200 kHz wide."),
    gettext_lazy("Frequencies that several transmitters make together are not looked at here."),
)


def check(stage: Stage) -> Iterator[Finding]:
    together = _paths(stage)
    for one, other in combinations(stage.radios, 2):
        if together[one.id] == together[other.id]:
            continue
        if one.radio.mhz is None or other.radio.mhz is None:
            continue
        apart = abs(one.radio.mhz - other.radio.mhz)
        if apart == 0:
            yield _finding(one, other, Severity.CAUTION, Certainty.CERTAIN)
        elif apart < _needed(one, other):
            yield _finding(one, other, Severity.LOOK, Certainty.ESTIMATE)


def _paths(stage: Stage) -> dict[str, str]:
    """One name for all units of one path: a transmitter with all that listens to it."""
    path = {each.id: each.id for each in stage.radios}
    for each in stage.radios:
        for end in each.linked & path.keys():
            kept, gone = path[each.id], path[end]
            path = {unit: kept if name == gone else name for unit, name in path.items()}
    return path


def _needed(one: StageRadio, other: StageRadio) -> Decimal:
    widths = (each.radio.width or USUAL_WIDTH for each in (one, other))
    return sum(widths, Decimal(0)) / 2


def _finding(
    one: StageRadio, other: StageRadio, severity: Severity, certainty: Certainty
) -> Finding:
    is_one = certainty == Certainty.CERTAIN
    title = (
        _("{one} and {other} are both on {frequency}")
        if is_one
        else _("{one} and {other} are nearer than their channels are wide")
    )
    figures = [
        Figure(_("frequency of {unit}").format(unit=each.name), _megahertz(each.radio.mhz))
        for each in (one, other)
    ]
    if not is_one:
        needed = format_lazy(
            gettext_lazy("{frequency} apart"), frequency=_megahertz(_needed(one, other))
        )
        figures.append(Figure(_("needed"), needed))
    return Finding(
        KEY,
        (one.id, other.id),
        severity,
        title.format(one=one.in_full, other=other.in_full, frequency=figures[0].shown),
        str(WHY),
        str(MEND),
        certainty,
        tuple(figures),
        () if is_one else tuple(str(each) for each in ASSUMES),
    )


def _written(mhz: Decimal) -> str:
    return f"{number(mhz)} MHz"


# Lazy, since a finding is signed by its figures in English.
_lazily_written = lazy(_written, str)


def _megahertz(mhz: Decimal | None) -> StrOrPromise:
    return _lazily_written(mhz or Decimal(0))


RULE = Rule(KEY, gettext_lazy("Are two units on one frequency, or too near to each other?"), check)
