"""An instrument retuned: what its strings pull, what the filters take from its lowest note.

The functions before the form are pure: quantities in SI go in, a WhatIfAnswer comes out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.languages.words import leading, told
from rigs.cautions import Caution
from rigs.checks.bench import Bench, BenchUnit
from rigs.models import Unit
from rigs.signal.filters import butterworth_db, order_from_slope
from rigs.signal.notes import format_note, frequency
from rigs.signal.ranges import stated_tuning
from rigs.signal.strings import tension, tension_after_retune, total_tension
from rigs.whatif.answers import NOW_THEN, ProposedValue, Subject, Table, WhatIfAnswer, hertz, number
from rigs.whatif.forms import QuestionFields
from rigs.whatif.topic import Topic, Unanswerable

SLOPES = (12, 18)  # dB per octave; an input states none


def neck() -> Caution:
    return Caution(
        _("The neck takes the pull"),
        _(
            "A change of total tension may ask for another set-up or other strings; "
            "leave that to whoever sets the instrument up. Wear eye protection when "
            "strings go up."
        ),
    )


MOST_STEPS = 48  # the range of the formula


class StringsDiffer(ValueError):
    """What was asked does not fit the strings there are; `about` is “tuning” or “masses”."""

    def __init__(self, about: str, message: str) -> None:
        self.about = about
        super().__init__(message)


class Filter(NamedTuple):
    """An input's high-pass that the instrument passes through."""

    name: str
    corner: float  # Hz


class Strings(NamedTuple):
    """Speaking length in m and mass of each string in kg/m, low to high; None where not stated."""

    length: float | None = None
    masses: tuple[float, ...] | None = None


def read(words: str) -> tuple[int, ...]:
    """The MIDI numbers of open strings, or of a tuning by name. Raises ValueError with words."""
    return stated_tuning(words)


def answer(
    now: str,
    then: tuple[int, ...],
    strings: Strings,
    filters: Iterable[Filter] = (),
    proposal: ProposedValue | None = None,
) -> WhatIfAnswer:
    """What another tuning changes; `now` is the tuning as stated on the unit.

    Raises StringsDiffer where the strings do not match.
    """
    try:
        before = read(now)
    except ValueError:
        problem = (
            _("The tuning now: “{tuning}” does not read as notes. Nothing to compare with.")
            if now.strip()
            else _("The tuning now: not stated. Nothing to compare with.")
        )
        return WhatIfAnswer(problems=(problem.format(tuning=now),))
    _check(before, then, strings)
    pulls = _pulls(before, strings)
    return WhatIfAnswer(
        _words(before, then, pulls),
        (_strings(before, then, pulls), *_high_passes(before, then, tuple(filters))),
        tuple(_problems(strings)),
        (
            _("Ideal strings; stiffness and hard playing are left out."),
            _("A filter’s slope is not stated: 12 and 18 dB per octave (Butterworth) are told."),
        ),
        "",
        proposal,
        neck(),
    )


def _check(before: tuple[int, ...], then: tuple[int, ...], strings: Strings) -> None:
    if len(before) != len(then):
        message = _("The unit’s tuning names {before} strings, this one {then}.").format(
            before=len(before), then=len(then)
        )
        raise StringsDiffer("tuning", message)
    if any(abs(new - old) > MOST_STEPS for old, new in zip(before, then, strict=True)):
        message = _("No string moves by more than {n} semitones.").format(n=MOST_STEPS)
        raise StringsDiffer("tuning", message)
    if strings.masses is not None and len(strings.masses) != len(then):
        message = _("{strings} strings, but {masses} masses.").format(
            strings=len(then), masses=len(strings.masses)
        )
        raise StringsDiffer("masses", message)


def _pulls(before: Sequence[int], strings: Strings) -> list[float] | None:
    """The tension in N of each string now; None where its length or its mass is not stated."""
    if strings.length is None or strings.masses is None:
        return None
    return [
        tension(frequency(float(note)), strings.length, mass)
        for note, mass in zip(before, strings.masses, strict=True)
    ]


def changed_by(steps: int) -> float:
    """The share by which a string's tension changes, 0.1 being a tenth more."""
    return tension_after_retune(1.0, steps) - 1


def _strings(before: Sequence[int], then: Sequence[int], pulls: list[float] | None) -> Table:
    rows = []
    for place, (old, new) in enumerate(zip(before, then, strict=True)):
        steps = new - old
        # The change in per cent needs neither length nor mass, so that it is always told.
        pull = number(100 * changed_by(steps), "%", sign=True)
        if pulls is not None:
            after = tension_after_retune(pulls[place], steps)
            pull = f"{number(pulls[place], 'N')} → {number(after, 'N')} ({pull})"
        moved = number(steps, "", 0, sign=True)
        rows.append((str(len(then) - place), format_note(old), format_note(new), moved, pull))
    columns = (
        _("String"),
        pgettext("what if", "Now"),
        pgettext("what if", "Then"),
        _("Semitones"),
        _("Tension"),
    )
    return Table(_("Strings, low to high"), columns, tuple(rows))


def _high_passes(
    before: Sequence[int], then: Sequence[int], filters: tuple[Filter, ...]
) -> list[Table]:
    notes = min(before), min(then)
    rows = [
        (
            _("{input}: HPF {frequency}").format(
                input=entry.name, frequency=hertz(entry.corner, "")
            ),
            *(leading(format_note(note), _losses(note, entry.corner)) for note in notes),
        )
        for entry in filters
    ]
    return (
        [Table(_("What an HPF takes from the lowest note"), NOW_THEN, tuple(rows))] if rows else []
    )


def _losses(note: int, corner: float) -> str:
    hz = frequency(float(note))
    losses = (butterworth_db(hz, corner, order_from_slope(slope)) for slope in SLOPES)
    low, high = (number(level, "dB") for level in losses)
    return _("{low} to {high}").format(low=low, high=high)


def _words(before: Sequence[int], then: Sequence[int], pulls: list[float] | None) -> str:
    low, lower = format_note(min(before)), format_note(min(then))
    words = (
        _("The lowest note stays {low} ({frequency}).")
        if low == lower
        else _("The lowest note goes from {low} to {lower} ({frequency}).")
    )
    frequency_words = hertz(frequency(float(min(then))), "")
    lowest = words.format(low=low, lower=lower, frequency=frequency_words)
    if pulls is None:
        return lowest
    steps = (new - old for old, new in zip(before, then, strict=True))
    after = [tension_after_retune(pull, n) for pull, n in zip(pulls, steps, strict=True)]
    totals = total_tension(pulls), total_tension(after)
    pull = _("All strings together pull {change}: {now} now, {then} then.").format(
        change=number(totals[1] - totals[0], "N", sign=True),
        now=number(totals[0], "N"),
        then=number(totals[1], "N"),
    )
    return f"{lowest} {pull}"


def _problems(strings: Strings) -> list[str]:
    if strings.length is None and strings.masses is None:
        return [
            _(
                "Newtons are not worked out: scale length (a figure of the unit) and mass of each "
                "string (in the question) not stated."
            )
        ]
    if strings.length is None:
        return [_("Newtons are not worked out: scale length (a figure of the unit) not stated.")]
    if strings.masses is None:
        return [_("Newtons are not worked out: mass of each string (in the question) not stated.")]
    return []


class TuningQuestion(QuestionFields):
    tuning = forms.CharField(
        label=gettext_lazy("another tuning"),
        max_length=Unit._meta.get_field("tuning").max_length,
        help_text=gettext_lazy("Open strings, low to high: D2 A2 D3 G3 B3 E4."),
    )
    masses = forms.CharField(
        label=gettext_lazy("mass of each string, g per metre"),
        max_length=200,
        required=False,
        help_text=gettext_lazy(
            "Low to high, as on the maker’s sheet: 6.82 4.28 2.26 1.14 0.67 0.40. "
            "Left empty, the change is told in per cent."
        ),
    )

    def clean_tuning(self) -> str:
        words: str = self.cleaned_data["tuning"]
        try:
            read(words)
        except ValueError as error:
            raise ValidationError(_sentence(error)) from None
        return words

    def clean_masses(self) -> tuple[float, ...] | None:
        # A comma is a decimal comma here; numbers are parted by blanks.
        words = self.cleaned_data["masses"].replace(",", ".").split()
        try:
            masses = tuple(float(word) / 1000 for word in words)
            for mass in masses:
                tension(1.0, 1.0, mass)  # refuses what no string can weigh
        except ValueError:
            message = _("Write one number above 0 for each string, apart by spaces.")
            raise ValidationError(message) from None
        return masses or None


def _sentence(error: ValueError) -> str:
    return f"{capfirst(told(error.args[0]))}."


class TuningTopic(Topic):
    key, label, icon = "tuning", gettext_lazy("Tuning"), "guitar"
    nothing = gettext_lazy("No stringed instrument and no unit with a tuning is in this rig.")
    question = TuningQuestion

    def subjects(self, bench: Bench) -> list[Subject]:
        stringed = (u for u in bench.units.values() if u.traits.strung or u.tuning.strip())
        return [Subject(unit.id, unit.name) for unit in stringed]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        return {"tuning": bench.units[subject].tuning}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> WhatIfAnswer:
        unit, words = bench.units[subject], typed["tuning"]
        strings = Strings(unit.facts.get("scale_length") or None, typed["masses"])
        proposal = ProposedValue("unit", unit.id, "tuning", words)
        filters = _filters(bench, unit)
        try:
            return answer(unit.tuning, read(words), strings, filters, proposal)
        except StringsDiffer as error:
            raise Unanswerable(error.about, str(error)) from None


def _filters(bench: Bench, unit: BenchUnit) -> list[Filter]:
    """The high-passes of the inputs that the instrument reaches."""
    return [
        Filter(entry.name, entry.high_pass)
        for entry in bench.inputs
        if entry.high_pass and entry.high_pass > 0 and unit in bench.upstream(*entry.units)
    ]
