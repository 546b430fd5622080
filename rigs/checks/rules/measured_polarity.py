"""Polarity measured from clips of two captures, with the switches as they are set now."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.words import all_of
from rigs.changes.edits import Set
from rigs.checks.alignment import is_related, polarities
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pictures import CombPicture
from rigs.places import Measurement

KEY = "measured_polarity"
WHY = gettext_lazy("Added together they cancel what both pick up, the low end first.")


WHY_AGAIN = gettext_lazy(
    "Three measurements of three inputs cannot all hold: one of them was of other sounds."
)


def check(bench: Bench) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in bench.inputs}
    measured = polarities(bench)
    wrong = measured.wrong(bench.inputs)
    for each in bench.measured:
        first, second = inputs.get(each.first), inputs.get(each.second)
        # A measurement made before one of them was moved says nothing of how they stand now.
        if not (first and second) or first is second or each.moved_in is not None:
            continue
        if is_related(measured, first, second) != (0 if each.polarity > 0 else 1):
            yield _contradicted(first, second)
        elif _opposed(each, first, second):
            yield _finding(each, first, second, first if wrong[first.id] else second)


def _opposed(each: Measurement, first: BenchInput, second: BenchInput) -> bool:
    switched = first.reversed_polarity != second.reversed_polarity
    return each.polarity * (-1 if switched else 1) < 0


def _contradicted(first: BenchInput, second: BenchInput) -> Finding:
    missing = [
        gettext_lazy("a polarity that agrees with the other measurements (record them again)")
    ]
    both = all_of((first.name, second.name))
    return not_measured(KEY, (first.id, second.id), both, missing, WHY_AGAIN)


def _finding(
    each: Measurement, first: BenchInput, second: BenchInput, turned: BenchInput
) -> Finding:
    mend = (
        _("Set the polarity of {input} to normal and keep what has more low end.")
        if turned.reversed_polarity
        else _("Set the polarity of {input} to reversed and keep what has more low end.")
    )
    return Finding(
        KEY,
        (first.id, second.id),
        Severity.LOOK,
        _("{first} and {second} push opposite ways").format(first=first.name, second=second.name),
        str(WHY),
        mend.format(input=turned.name),
        Certainty.ESTIMATE,
        (
            Figure(
                _("measured ahead of the desk"),
                pgettext_lazy("polarity", "opposed")
                if each.polarity < 0
                else pgettext_lazy("polarity", "alike"),
            ),
            *(
                Figure(
                    entry.name,
                    pgettext_lazy("polarity", "reversed")
                    if entry.reversed_polarity
                    else pgettext_lazy("polarity", "not reversed"),
                )
                for entry in (first, second)
            ),
        ),
        (_("Measured from two clips; the desk's switches as they are set now."),),
        CombPicture(min(abs(each.delay_s), 1.0), 0.0, inverted=True),
        (Set(turned.id, "input", {"reversed_polarity": not turned.reversed_polarity}),),
    )


RULE = Rule(KEY, gettext_lazy("Do two inputs, measured from clips, have the same polarity?"), check)
