"""A low-pass below the highest note that the instrument plays takes that note's fundamental."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rigs.changes.edits import Set
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import decibels, hertz
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pictures import FilterPicture
from rigs.checks.tunings import FRETS, Reach, reach
from rigs.signal.filters import butterworth_db, corner_for_loss, order_from_slope

KEY = "low_pass"
SLOPES = (12, 18)
ALLOWED_LOSS_DB = 1.0
HIGHEST_HZ = 40e3  # that the field takes
WHY = "The highest notes lose their fundamental: they sink while the low ones stay."


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.low_pass is None:
            continue
        notes, unknown = reach(bench, entry)
        if unknown:
            names = ", ".join(each.words for each in unknown)
            parts = (entry.id, *dict.fromkeys(each.unit.id for each in unknown))
            yield not_measured(KEY, parts, entry.name, [f"tuning of {names}"], WHY)
        if notes is not None and entry.low_pass < notes.highest[1]:
            yield _below(entry, entry.low_pass, notes)


def _below(entry: BenchInput, corner: float, notes: Reach) -> Finding:
    name, hz = notes.highest
    where = f", {notes.high_in}" if notes.high_in else ""
    losses = [
        decibels(
            f"{name} at {slope} dB/octave",
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
        f"{entry.name}: the LPF is below the highest note, {name}{where}",
        WHY,
        f"Raise the low-pass to {keeps.shown} or more, or accept it if those notes are never "
        "played.",
        Certainty.THUMB,
        (hertz("LPF", corner), hertz(f"highest note, {name}", hz), *losses),
        (
            f"{FRETS} frets above the highest open string.",
            "The filter’s slope is not stated: 12 and 18 dB per octave (Butterworth) are shown.",
        ),
        FilterPicture(entry.high_pass, corner, notes.lowest, notes.highest),
        _raised(entry, lowest),
    )


def _raised(entry: BenchInput, hz: float) -> tuple[Set, ...]:
    """The edit that raises the filter until the highest note is kept; none beyond the field."""
    # Rounded up to the tenth of a hertz that the field holds, so that the note keeps its level.
    up = math.ceil(hz * 10) / 10
    return (Set(entry.id, "input", {"low_pass_hz": f"{up:.10g}"}),) if up <= HIGHEST_HZ else ()


RULE = Rule(KEY, "Is an LPF below the highest note of the tuning?", check)
