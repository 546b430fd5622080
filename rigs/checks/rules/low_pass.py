"""A low-pass below the highest note that the instrument plays takes that note's fundamental."""

from __future__ import annotations

import math
from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import decibels, hertz, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pictures import FilterPicture
from rigs.checks.tunings import FRETS, Reach, reach
from rigs.signal.filters import butterworth_db, corner_for_loss, order_from_slope

KEY = "low_pass"
SLOPES = (12, 18)
ALLOWED_LOSS_DB = 1.0
HIGHEST_HZ = 40e3  # that the field takes
WHY = gettext_lazy("The highest notes lose their fundamental: they sink while the low ones stay.")


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.low_pass is None:
            continue
        notes, unknown = reach(bench, entry)
        if unknown:
            names = listed([each.words for each in unknown])
            parts = (entry.id, *dict.fromkeys(each.unit.id for each in unknown))
            yield not_measured(
                KEY,
                parts,
                entry.name,
                [format_lazy(gettext_lazy("tuning of {names}"), names=names)],
                WHY,
            )
        if notes is not None and entry.low_pass < notes.highest[1]:
            yield _below(entry, entry.low_pass, notes)


def _below(entry: BenchInput, corner: float, notes: Reach) -> Finding:
    name, hz = notes.highest
    title = (
        _("{entry}: the LPF is below the highest note, {note}, {where}")
        if notes.high_in
        else _("{entry}: the LPF is below the highest note, {note}")
    )
    losses = [
        decibels(
            _("{note} at {slope} dB/octave").format(note=name, slope=slope),
            butterworth_db(hz, corner, order_from_slope(slope), "lowpass"),
        )
        for slope in SLOPES
    ]
    # A low-pass loses at f what a high-pass loses at corner² / f: their curves are mirrored.
    lowest = hz * hz / corner_for_loss(hz, ALLOWED_LOSS_DB, order_from_slope(SLOPES[-1]))
    keeps = hertz("", lowest)
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        title.format(entry=entry.name, note=name, where=notes.high_in),
        str(WHY),
        _(
            "Raise the low-pass to {keeps} or more, or accept it if those notes are never played."
        ).format(keeps=keeps.shown),
        Certainty.THUMB,
        (hertz(_("LPF"), corner), hertz(_("highest note, {note}").format(note=name), hz), *losses),
        (
            _("{n} frets above the highest open string.").format(n=FRETS),
            _("The filter’s slope is not stated: 12 and 18 dB per octave (Butterworth) are shown."),
        ),
        FilterPicture(entry.high_pass, corner, notes.lowest, notes.highest),
        _raised(entry, lowest),
    )


def _raised(entry: BenchInput, hz: float) -> tuple[Set, ...]:
    """The edit that raises the filter until the highest note is kept; none beyond the field."""
    # Rounded up to the tenth of a hertz that the field holds, so that the note keeps its level.
    up = math.ceil(hz * 10) / 10
    return (Set(entry.id, "input", {"low_pass_hz": f"{up:.10g}"}),) if up <= HIGHEST_HZ else ()


RULE = Rule(KEY, gettext_lazy("Is an LPF below the highest note of the tuning?"), check)
