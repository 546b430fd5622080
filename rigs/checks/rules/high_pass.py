"""A high-pass above the lowest note of the tuning takes level from that note's fundamental."""

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
from rigs.checks.tunings import Reach, reach
from rigs.signal.filters import butterworth_db, corner_for_loss, order_from_slope

KEY = "high_pass"
SLOPES = (12, 18)  # dB per octave; the input states none
ALLOWED_LOSS_DB = 1.0
WHY = gettext_lazy(
    "The fundamental of the lowest note is where its weight is; a filter "
    "above it thins that note more than the others."
)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.high_pass is None:
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
        if notes is not None and entry.high_pass > notes.lowest[1]:
            yield _above(entry, entry.high_pass, notes)


def _above(entry: BenchInput, corner: float, notes: Reach) -> Finding:
    name, hz = notes.lowest
    title = (
        _("{entry}: the HPF is above the lowest note, {note}, {where}")
        if notes.low_in
        else _("{entry}: the HPF is above the lowest note, {note}")
    )
    losses = [
        decibels(
            _("{note} at {slope} dB/octave").format(note=name, slope=slope),
            butterworth_db(hz, corner, order_from_slope(slope)),
        )
        for slope in SLOPES
    ]
    highest = corner_for_loss(hz, ALLOWED_LOSS_DB, order_from_slope(SLOPES[-1]))
    keeps = hertz(_("keeps {note} within 1 dB at 18 dB/octave").format(note=name), highest)
    return Finding(
        KEY,
        (entry.id,),
        Severity.LOOK,
        title.format(entry=entry.name, note=name, where=notes.low_in),
        str(WHY),
        _("Lower the HPF to {keeps} or less, if the low end allows it.").format(keeps=keeps.shown),
        Certainty.ESTIMATE,
        (
            hertz(_("HPF"), corner),
            hertz(_("lowest note, {note}").format(note=name), hz),
            *losses,
            keeps,
        ),
        (_("The filter’s slope is not stated: 12 and 18 dB per octave (Butterworth) are shown."),),
        FilterPicture(corner, entry.low_pass, notes.lowest, notes.highest),
        # Rounded down to the tenth of a hertz that the field holds, so that the note keeps its
        # level.
        (Set(entry.id, "input", {"high_pass_hz": f"{math.floor(highest * 10) / 10:g}"}),),
    )


RULE = Rule(KEY, gettext_lazy("Is an HPF above the lowest note of the tuning?"), check)
