"""Polarity of microphones on two faces of one thing, and of a DI with its microphone."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from rigs.changes.edits import Set
from rigs.checks.alignment import (
    di_and_mic_pairs,
    face_pairs,
    is_related,
    measurement,
    polarities,
)
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "polarity"
WHY_BOTH = gettext_lazy("Two reversals are none: between the two nothing has changed.")
WHY_NEITHER = gettext_lazy(
    "A head or a cone that moves towards one microphone moves away from the "
    "other, so that added together the low end cancels."
)


def check(bench: Bench) -> Iterator[Finding]:
    known = polarities(bench)
    wrong = known.wrong(bench.inputs)
    for one, other in face_pairs(bench):
        # What was measured on clips knows better, and has a rule of its own.
        if measurement(bench, one, other) or is_related(known, one, other) != 1:
            continue
        if one.reversed_polarity == other.reversed_polarity:
            yield _faces(one, other, one if wrong[one.id] else other)
    for di, mic in di_and_mic_pairs(bench):
        if di.reversed_polarity and mic.reversed_polarity and is_related(known, di, mic) is None:
            # Turning one that is related to others would put those wrong.
            free = [e for e in (di, mic) if len(known.groups.values(e.id)) == 1]
            if free:
                yield _both(di, mic, free[0])


def _faces(one: BenchInput, other: BenchInput, turned: BenchInput) -> Finding:
    return _both(one, other, turned) if one.reversed_polarity else _neither(one, other, turned)


def _both(one: BenchInput, other: BenchInput, turned: BenchInput) -> Finding:
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        _("{one} and {other}: polarity is reversed on both").format(one=one.name, other=other.name),
        str(WHY_BOTH),
        _("Set {input} back and listen to the low end with both open.").format(input=turned.name),
        Certainty.CERTAIN,
        (
            Figure(one.name, pgettext_lazy("polarity", "reversed")),
            Figure(other.name, pgettext_lazy("polarity", "reversed")),
        ),
        edits=(Set(turned.id, "input", {"reversed_polarity": False}),),
    )


def _neither(one: BenchInput, other: BenchInput, turned: BenchInput) -> Finding:
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        _("{one} and {other}: polarity is reversed on neither").format(
            one=one.name, other=other.name
        ),
        str(WHY_NEITHER),
        _("Reverse {input} and keep what has more low end.").format(input=turned.name),
        Certainty.THUMB,
        (
            Figure(one.name, pgettext_lazy("polarity", "not reversed")),
            Figure(other.name, pgettext_lazy("polarity", "not reversed")),
        ),
        edits=(Set(turned.id, "input", {"reversed_polarity": True}),),
    )


RULE = Rule(
    KEY,
    gettext_lazy("Do two faces of one thing, or a DI and its microphone, pull the same way?"),
    check,
)
